// Dragging on the drawn plan: a bar to another day, its end to another day, a box to another box.
// Nothing is changed here: what was dragged is sent as a form, and the page that answers says what
// came of it. A mouse drags at once; a finger first picks the mark, so that it can also scroll.

const SVG = "http://www.w3.org/2000/svg";
const FAR = 6; // pixels before a press becomes a drag
const END = 9; // pixels at the right edge by which the end is taken
const DAY = 86400000;
let drag;
let dropped = false;

const dayOf = (svg, number) => {
  const first = new Date(`${svg.dataset.first}T00:00:00Z`);
  return new Date(first.getTime() + number * DAY);
};
const written = (day) => day.toISOString().slice(0, 10);
const said = (day) =>
  day.toLocaleDateString("en-GB", {
    weekday: "short", day: "numeric", month: "short", year: "numeric", timeZone: "UTC",
  });

// Where a pointer is, in the drawing's own pixels, wherever that has been scrolled to.
const at = (svg, event) => {
  const box = svg.getBoundingClientRect();
  const scale = svg.width.baseVal.value / box.width;
  return { x: (event.clientX - box.left) * scale, y: (event.clientY - box.top) * scale };
};

const workOf = (bar) => bar.querySelector(".b-heavy, .b-light");

function take(event) {
  const mark = event.target.closest?.("[data-drawn] a.b-link[data-moves], [data-drawn] a.n-task");
  if (!mark || event.button || drag) return;
  if (event.pointerType !== "mouse" && !mark.classList.contains("on")) return;
  const svg = mark.ownerSVGElement;
  const from = at(svg, event);
  drag = { mark, svg, from, pointer: event.pointerId, kind: "" };
  if (mark.dataset.box) {
    if (/^\d+$/.test(mark.dataset.box)) drag.wants = "link";
  } else {
    const work = workOf(mark);
    const moves = mark.dataset.moves.split(" ");
    const right = work && Number(work.getAttribute("x")) + Number(work.getAttribute("width"));
    const reach = event.pointerType === "mouse" ? END : 2 * END;
    // Of a short bar the first two thirds are left to move it by.
    const within = work && Math.min(reach, Number(work.getAttribute("width")) / 3);
    const beyond = from.x - right;
    const atEnd = work && moves.includes("end") && beyond <= reach && beyond >= -within;
    drag.wants = atEnd ? "end" : work && moves.includes("start") ? "start" : "";
    drag.work = work;
    drag.width = work && Number(work.getAttribute("width"));
  }
  if (!drag.wants) drag = undefined;
}

function begin(event) {
  drag.kind = drag.wants;
  drag.mark.classList.add("dragged");
  drag.mark.setPointerCapture?.(event.pointerId);
  drag.told = document.createElementNS(SVG, "g");
  drag.told.append(document.createElementNS(SVG, "rect"), document.createElementNS(SVG, "text"));
  drag.told.firstChild.setAttribute("class", "d-told");
  drag.told.lastChild.setAttribute("class", "t-told");
  if (drag.kind === "link") {
    drag.line = document.createElementNS(SVG, "line");
    drag.line.setAttribute("class", "n-drawn");
    drag.svg.append(drag.line);
  }
  drag.svg.append(drag.told);
}

function tell(words, x, y) {
  const [rect, text] = drag.told.childNodes;
  text.textContent = words;
  const wide = text.getComputedTextLength() + 12;
  const left = Math.max(Math.min(x + 14, drag.svg.width.baseVal.value - wide - 2), 2);
  const top = Math.max(y - 34, 2);
  for (const [name, value] of [["x", left], ["y", top], ["width", wide], ["height", 22]]) {
    rect.setAttribute(name, value);
  }
  text.setAttribute("x", left + 6);
  text.setAttribute("y", top + 15.5);
}

function move(event) {
  if (!drag || event.pointerId !== drag.pointer) return;
  const here = at(drag.svg, event);
  const across = here.x - drag.from.x;
  if (!drag.kind) {
    if (Math.hypot(across, here.y - drag.from.y) < FAR) return;
    begin(event);
  }
  scrollAlong(event);
  if (drag.kind === "link") return moveLink(event, here);
  const perDay = Number(drag.svg.dataset.perDay);
  const start = Number(drag.svg.dataset.start);
  const days = Math.round(across / perDay);
  const left = Number(drag.work.getAttribute("x"));
  if (drag.kind === "start") {
    drag.day = dayOf(drag.svg, Math.floor((left - start) / perDay + 0.01) + days);
    drag.mark.setAttribute("transform", `translate(${days * perDay} 0)`);
    tell(`begins ${said(drag.day)}`, here.x, here.y);
  } else {
    const right = Math.max(left + drag.width + days * perDay, left + 1);
    drag.day = dayOf(drag.svg, Math.ceil((right - start) / perDay - 0.01) - 1);
    drag.work.setAttribute("width", right - left);
    tell(`ends ${said(drag.day)}`, here.x, here.y);
  }
}

function moveLink(event, here) {
  const box = drag.mark.getBBox();
  const to = boxAt(event);
  const ends = [["x1", box.x + box.width], ["y1", box.y + box.height / 2], ["x2", here.x], ["y2", here.y]];
  for (const [name, value] of ends) drag.line.setAttribute(name, value);
  drag.to = to;
  tell(to ? `${to.dataset.code} waits for ${drag.mark.dataset.code}` : "to the task after it", here.x, here.y);
}

function boxAt(event) {
  drag.line.style.pointerEvents = "none";
  const box = document.elementFromPoint(event.clientX, event.clientY)?.closest("a.n-task");
  return box && box !== drag.mark && /^\d+$/.test(box.dataset.box) ? box : undefined;
}

// At the edge of what is in sight the drawing goes on under the pointer.
function scrollAlong(event) {
  const frame = drag.svg.closest(".scroll");
  const box = frame.getBoundingClientRect();
  const near = 28;
  if (event.clientX > box.right - near) frame.scrollLeft += 14;
  else if (event.clientX < box.left + near) frame.scrollLeft -= 14;
  if (event.clientY > box.bottom - near) frame.scrollTop += 14;
  else if (event.clientY < box.top + near) frame.scrollTop -= 14;
}

function letGo({ mark, work, width, told, line, kind }) {
  told?.remove();
  line?.remove();
  if (!kind) return;
  mark.classList.remove("dragged");
  mark.removeAttribute("transform");
  if (kind === "end") work.setAttribute("width", width);
}

function drop(event) {
  if (!drag || event.pointerId !== drag.pointer) return;
  const done = drag;
  drag = undefined;
  if (!done.kind) return;
  dropped = true;
  setTimeout(() => (dropped = false), 0);
  const form = document.querySelector(`#drag-${done.kind}`);
  let key = done.mark.dataset.bar;
  if (done.kind === "link") {
    if (!done.to) return letGo(done);
    key = done.to.dataset.box;
    form.elements.other.value = done.mark.dataset.code;
  } else {
    form.elements[done.kind === "start" ? "day" : "until"].value = written(done.day);
  }
  form.action = form.dataset.action.replace("/0/", `/${key}/`);
  form.submit();
}

function cancel() {
  if (!drag) return;
  letGo(drag);
  drag = undefined;
}

addEventListener("pointerdown", take);
addEventListener("pointermove", move);
addEventListener("pointerup", drop);
addEventListener("pointercancel", cancel);
addEventListener("keydown", (event) => event.key === "Escape" && cancel());
addEventListener("dragstart", (event) => {
  if (event.target.closest?.("[data-drawn] svg")) event.preventDefault();
});
// The click that ends a drag is none.
addEventListener(
  "click",
  (event) => {
    if (!dropped) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  },
  true,
);
