// The drawn plan by keyboard and by touch: one stop for Tab, arrows from mark to mark, and a card
// that says what the picked one is. Without script every mark is a link to its task.

const MARKS = "a.b-link, a.n-task";
const card = document.querySelector("#picked");

const marks = (drawing) => [...drawing.querySelectorAll(MARKS)];

// One mark of each drawing can be reached by Tab: the last one that had the focus.
function ready() {
  for (const drawing of document.querySelectorAll("[data-drawn] figure svg")) {
    const all = marks(drawing);
    const here = all.find((mark) => mark.dataset.here) ?? all[0];
    for (const mark of all) mark.setAttribute("tabindex", mark === here ? "0" : "-1");
  }
}

function go(to) {
  if (!to) return;
  for (const mark of marks(to.ownerSVGElement)) {
    mark.setAttribute("tabindex", "-1");
    delete mark.dataset.here;
  }
  to.setAttribute("tabindex", "0");
  to.dataset.here = "yes";
  to.focus({ preventScroll: true });
  to.scrollIntoView({ block: "nearest", inline: "nearest" });
}

const middle = (mark) => {
  const box = mark.getBoundingClientRect();
  return { x: box.left + box.width / 2, y: box.top + box.height / 2 };
};

const nearest = (others, from) => {
  const at = middle(from);
  const off = (mark) => Math.hypot(middle(mark).x - at.x, 2 * (middle(mark).y - at.y));
  return others.reduce((best, mark) => (best && off(best) <= off(mark) ? best : mark), undefined);
};

// Boxes: sideways along the links, up and down in the column.
function alongLinks(all, from, key) {
  const column = Number(from.dataset.column);
  if (key === "ArrowUp" || key === "ArrowDown") {
    const same = all.filter((mark) => Number(mark.dataset.column) === column);
    same.sort((one, other) => middle(one).y - middle(other).y);
    return same[same.indexOf(from) + (key === "ArrowDown" ? 1 : -1)];
  }
  const forward = key === "ArrowRight";
  const names = (from.dataset[forward ? "next" : "last"] ?? "").split(" ").filter(Boolean);
  const linked = all.filter((mark) => names.includes(mark.dataset.box));
  if (linked.length) return nearest(linked, from);
  const beyond = all.filter((mark) =>
    forward ? Number(mark.dataset.column) > column : Number(mark.dataset.column) < column,
  );
  return nearest(beyond, from);
}

addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const from = event.target.closest?.(MARKS);
  if (event.key === "Escape" && card && !card.hidden) unpick();
  if (!from) return;
  const all = marks(from.ownerSVGElement);
  const at = all.indexOf(from);
  const rows = { ArrowUp: all[at - 1], ArrowDown: all[at + 1], Home: all[0], End: all.at(-1) };
  const isBox = from.dataset.column !== undefined;
  const arrow = event.key.startsWith("Arrow");
  const to = isBox && arrow ? alongLinks(all, from, event.key) : rows[event.key];
  if (to || (isBox && arrow)) event.preventDefault();
  go(to);
});

let picked;
let asked = 0;

function unpick() {
  picked?.classList.remove("on");
  for (const line of document.querySelectorAll(".n-on")) line.classList.remove("n-on");
  picked = undefined;
  card.hidden = true;
}

async function pick(mark) {
  const key = mark.dataset.bar ?? mark.dataset.box;
  if (!card || !key || !/^\d+$/.test(key)) return;
  unpick();
  picked = mark;
  mark.classList.add("on");
  showLinks(mark);
  const mine = ++asked;
  const url = card.dataset.url.replace("/0/", `/${key}/`);
  const answer = await fetch(url, { headers: { "HX-Request": "true" } });
  if (mine !== asked || !answer.ok) return;
  card.innerHTML = await answer.text();
  card.hidden = false;
  const hidden = mark.getBoundingClientRect().bottom + 12 - card.getBoundingClientRect().top;
  if (hidden > 0) scrollBy({ top: hidden });
}

// The links of a picked box stand out, most of all the one that fixes its start.
function showLinks(mark) {
  const key = mark.dataset.box;
  if (!key) return;
  for (const link of mark.ownerSVGElement.querySelectorAll("[data-from]")) {
    if (link.dataset.from === key || link.dataset.to === key) link.classList.add("n-on");
  }
}

let pause;
addEventListener("focusin", (event) => {
  const mark = event.target.closest?.(MARKS);
  clearTimeout(pause);
  if (mark && mark.matches(":focus-visible")) pause = setTimeout(() => pick(mark), 150);
});

// A first click picks, the next one opens: so that a finger can see before it goes.
addEventListener("click", (event) => {
  if (event.target.closest?.("[data-unpick]")) {
    const back = picked;
    unpick();
    back?.focus();
    return;
  }
  const mark = event.target.closest?.(MARKS);
  if (!mark || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  const isTask = mark.dataset.bar ?? /^\d+$/.test(mark.dataset.box ?? "");
  if (!isTask || mark === picked || event.detail === 0) return;
  event.preventDefault();
  go(mark);
  pick(mark);
});

document.body.addEventListener("htmx:afterSettle", ready);
ready();
