// Photos go one by one, each with its progress and its own answer. A lost network stops nothing
// for good: the one under way is sent again, the rest wait; what came in already is recognised.

const WAITS_MS = [2_000, 5_000, 10_000, 20_000, 30_000];

const form = document.querySelector("form[data-upload]");
const sending = document.querySelector("[data-sending]");
if (form && sending) start(form, sending);

function start(form, sending) {
  const input = form.querySelector("input[type=file]");
  const list = sending.querySelector("[data-list]");
  const sum = sending.querySelector("[data-sum]");
  const all = sending.querySelector("[data-all]");
  const stuck = sending.querySelector("[data-stuck]");
  const queue = [];
  const counts = { new: 0, known: 0, refused: 0 };
  let busy = false;
  let goOn = () => {};

  form.addEventListener("submit", (event) => {
    if (!input.files.length && !queue.length) return; // the server says that none was chosen
    event.preventDefault();
    add(input.files);
  });
  input.addEventListener("change", () => {
    form.querySelector(".button.first").textContent =
      input.files.length > 1 ? `Send ${input.files.length} photos` : "Send";
  });
  stuck.querySelector("[data-go-on]").addEventListener("click", () => goOn());
  addEventListener("online", () => goOn());
  addEventListener("beforeunload", (event) => {
    if (busy) event.preventDefault();
  });
  letDrop(form, add);

  function add(files) {
    for (const file of files) queue.push({ file, row: rowFor(file, list), done: 0 });
    input.value = "";
    form.querySelector(".button.first").textContent = "Send";
    sending.hidden = false;
    tell();
    if (!busy) run();
  }

  async function run() {
    busy = true;
    for (let next; (next = queue.find((one) => !one.outcome)); ) await sendOne(next);
    busy = false;
    tell();
    sending.querySelector("[data-done]").hidden = !(counts.new || counts.known);
  }

  async function sendOne(one) {
    for (let turn = 0; !one.outcome; turn += 1) {
      const answer = await post(form, one, tell);
      if (answer.outcome || answer.errors) {
        settle(one, answer);
      } else {
        const seconds = WAITS_MS[Math.min(turn, WAITS_MS.length - 1)];
        one.row.say(answer.wait);
        await pause(seconds);
      }
    }
  }

  function settle(one, answer) {
    one.outcome = answer.outcome ?? "refused";
    one.done = one.file.size;
    counts[one.outcome] += 1;
    one.row.end(one.outcome, answer);
    tell();
  }

  function pause(ms) {
    stuck.hidden = false;
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, ms);
      goOn = () => {
        clearTimeout(timer);
        resolve();
      };
    }).finally(() => {
      stuck.hidden = true;
      goOn = () => {};
    });
  }

  function tell() {
    const whole = queue.reduce((sum, one) => sum + one.file.size, 0);
    all.max = whole || 1;
    all.value = queue.reduce((sum, one) => sum + one.done, 0);
    const settled = queue.filter((one) => one.outcome).length;
    const parts = [];
    if (counts.new) parts.push(`${counts.new} taken in`);
    if (counts.known) parts.push(`${counts.known} here already`);
    if (counts.refused) parts.push(`${counts.refused} refused`);
    const head = settled < queue.length
      ? `Sending photo ${settled + 1} of ${queue.length}` : `All ${queue.length} dealt with`;
    const text = [head, ...parts].join(" · ");
    if (sum.textContent !== text) sum.textContent = text;
  }
}

// One request for one file. Gives the server's answer, or { wait: why it is tried again }.
function post(form, one, tell) {
  return new Promise((resolve) => {
    const data = new FormData(form);
    data.delete("photos");
    data.append("photos", one.file, one.file.name);
    const request = new XMLHttpRequest();
    request.open("POST", form.action || location.href);
    request.setRequestHeader("Accept", "application/json");
    request.upload.addEventListener("progress", (event) => {
      one.done = event.lengthComputable ? (event.loaded / event.total) * one.file.size : 0;
      one.row.progress(event.loaded, event.total);
      tell();
    });
    request.addEventListener("load", () => resolve(read(request)));
    request.addEventListener("error", () => {
      one.done = 0;
      resolve({ wait: "no network; it is sent again" });
    });
    request.addEventListener("timeout", () => resolve({ wait: "no answer; it is sent again" }));
    request.send(data);
  });
}

function read(request) {
  const type = request.getResponseHeader("Content-Type") ?? "";
  if (type.startsWith("application/json")) return JSON.parse(request.responseText);
  if (request.status === 413) return { errors: ["It is too large for this server."] };
  if (request.status === 403 || request.responseURL.includes("sign-in")) {
    return { wait: "you are signed out: sign in in another window, then go on here" };
  }
  return { wait: `the server could not take it (${request.status}); it is sent again` };
}

function rowFor(file, list) {
  const item = document.createElement("li");
  const name = document.createElement("strong");
  const words = document.createElement("span");
  const bar = document.createElement("progress");
  name.textContent = file.name;
  words.textContent = "waits its turn";
  bar.max = 1;
  bar.value = 0;
  bar.setAttribute("aria-label", file.name);
  item.append(name, words, bar);
  list.append(item);
  return {
    say(text) {
      words.textContent = text;
    },
    progress(loaded, total) {
      bar.max = total || 1;
      bar.value = loaded;
      const text = loaded < total ? "on its way" : "being looked at";
      if (words.textContent !== text) words.textContent = text;
    },
    end(outcome, answer) {
      bar.remove();
      item.className = outcome;
      const reason = answer.reason || (answer.errors ?? []).join(" ");
      words.textContent = (answer.says ?? "refused") + (reason ? `: ${reason}` : "");
      if (answer.url) {
        const link = document.createElement("a");
        link.href = answer.url;
        link.textContent = file.name;
        name.replaceChildren(link);
      }
    },
  };
}

// On a desk, photos may be dropped on the form.
function letDrop(form, add) {
  const place = form.querySelector(".drop");
  for (const kind of ["dragenter", "dragover"]) {
    form.addEventListener(kind, (event) => {
      if (!event.dataTransfer?.types.includes("Files")) return;
      event.preventDefault();
      place.classList.add("over");
    });
  }
  form.addEventListener("dragleave", (event) => {
    if (!form.contains(event.relatedTarget)) place.classList.remove("over");
  });
  form.addEventListener("drop", (event) => {
    if (!event.dataTransfer?.files.length) return;
    event.preventDefault();
    place.classList.remove("over");
    add(event.dataTransfer.files);
  });
}
