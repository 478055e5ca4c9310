// Nothing typed is lost: what stands in a form is kept in this browser until the server has it.
//
// A form asks for it by data-keep, the name of what is written, and data-build. It is sent in the
// background; without network it stays, is said to stay, and is sent when the network is back.
// The form's own key makes a second sending of the same text one entry.

const RETRY_MS = 15_000;
const NOT_KEPT = new Set(["csrfmiddlewaretoken", "next"]);

for (const form of document.querySelectorAll("form[data-keep]")) {
  keep(form);
}

function keep(form) {
  const name = `buildlog:${form.dataset.build}:${form.dataset.keep}`;
  const says = sayer(form, form.querySelector(":scope > .buttons, :scope > button"));
  const asSent = JSON.stringify(valuesOf(form));
  let sending = false;
  let wanted = false;

  putBack(form, name, asSent);
  form.addEventListener("input", () => store(name, form));
  form.addEventListener("change", () => store(name, form));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    store(name, form);
    send();
  });
  addEventListener("online", () => wanted && send());

  async function send() {
    if (sending) return;
    sending = true;
    wanted = false;
    form.setAttribute("aria-busy", "true");
    says("Sending…");
    try {
      await answer(await fetch(form.action, {
        method: "POST",
        body: new FormData(form),
        headers: { Accept: "application/json, text/html;q=0.5" },
      }));
    } catch {
      wanted = true;
      says("No network. What you typed is kept in this browser and is sent when the network is "
        + "back, as long as this page stays open. If you leave, it will be here again.");
      setTimeout(() => wanted && send(), RETRY_MS);
    } finally {
      sending = false;
      form.removeAttribute("aria-busy");
    }
  }

  async function answer(response) {
    if (response.status === 201) {
      drop(name);
      location.assign((await response.json()).url);
    } else if (response.redirected) {
      says("You are signed out. Sign in again in another window, then save: it is all kept.",
        response.url);
    } else if (response.status === 422 || response.status === 409) {
      replaceBy(await response.text());
    } else if (response.status === 403) {
      says("The server refused it: this page may be too old, or you may not do this any more. "
        + "Load the page again; what you typed will be put back.");
    } else {
      wanted = true;
      says(`The server could not take it now (${response.status}). It is kept and tried again.`);
      setTimeout(() => wanted && send(), RETRY_MS);
    }
  }
}

// The server's page with its errors, in place of this one's content; focus on what is wrong.
function replaceBy(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const main = document.querySelector("main");
  main.replaceChildren(...page.querySelector("main").childNodes);
  for (const form of main.querySelectorAll("form[data-keep]")) {
    drop(`buildlog:${form.dataset.build}:${form.dataset.keep}`);
    keep(form);
    store(`buildlog:${form.dataset.build}:${form.dataset.keep}`, form);
  }
  const problem = main.querySelector(".problem");
  problem?.setAttribute("tabindex", "-1");
  problem?.focus();
  problem?.scrollIntoView({ block: "start" });
}

function valuesOf(form) {
  const values = {};
  for (const [name, value] of new FormData(form)) {
    if (typeof value === "string" && !NOT_KEPT.has(name)) (values[name] ??= []).push(value);
  }
  return values;
}

function store(name, form) {
  try {
    localStorage.setItem(name, JSON.stringify({ at: Date.now(), values: valuesOf(form) }));
  } catch {
    // A browser that keeps nothing: the form still holds what was typed.
  }
}

function drop(name) {
  try {
    localStorage.removeItem(name);
  } catch {
    // As above.
  }
}

function kept(name) {
  try {
    return JSON.parse(localStorage.getItem(name));
  } catch {
    return null;
  }
}

function putBack(form, name, asSent) {
  const draft = kept(name);
  if (!draft?.values || !saysSomething(draft.values)) return;
  if (withoutKeys(draft.values) === withoutKeys(JSON.parse(asSent))) return;
  fill(form, draft.values);
  const says = sayer(form, form.firstElementChild);
  const when = new Date(draft.at).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
  says(`Put back what you typed here on ${when}, which had not reached the server.`, null, () => {
    drop(name);
    form.reset();
    fill(form, JSON.parse(asSent));
    says("");
  });
}

function saysSomething(values) {
  return Object.entries(values).some(([name, [value]]) => name === "text" ? value.trim()
    : value && !/key|version|day|^hours-/.test(name)) || Boolean(values.version);
}

function withoutKeys(values) {
  const plain = Object.entries(values).filter(([name]) => name !== "key" && name !== "version");
  return JSON.stringify(plain.sort());
}

function fill(form, values) {
  for (const field of form.elements) {
    if (!field.name || NOT_KEPT.has(field.name) || field.type === "file") continue;
    if (/_FORMS$/.test(field.name)) continue;
    const meant = values[field.name] ?? [];
    if (field.type === "checkbox" || field.type === "radio") {
      field.checked = meant.includes(field.value);
    } else if (meant.length) {
      field.value = meant[0];
    }
  }
}

// A line before some place of the form that says how things stand, read out as it changes.
function sayer(form, place) {
  const line = document.createElement("div");
  line.setAttribute("role", "status");
  form.insertBefore(line, place);
  return (text, link, undo) => {
    line.className = text ? "note" : "";
    line.replaceChildren();
    if (!text) return;
    const words = document.createElement("p");
    words.textContent = text;
    line.append(words);
    if (link) {
      const way = Object.assign(document.createElement("a"), {
        href: link, target: "_blank", rel: "noopener", textContent: "Sign in",
      });
      line.append(way);
    }
    if (undo) {
      const button = Object.assign(document.createElement("button"), {
        type: "button", className: "button quiet", textContent: "Throw it away",
      });
      button.addEventListener("click", undo);
      line.append(button);
    }
  };
}
