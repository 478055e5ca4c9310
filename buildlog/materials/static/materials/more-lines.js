// "More lines" adds empty ones here and now, so that no file chosen in the form is let go.
// Without this the button sends the form and gets it back with more lines.

const AT_ONCE = 3;

for (const form of document.querySelectorAll("[data-lines]")) {
  const prefix = form.dataset.lines;
  const total = form.elements[`${prefix}-TOTAL_FORMS`];
  const most = Number(form.elements[`${prefix}-MAX_NUM_FORMS`].value);
  const blank = form.querySelector("template[data-empty-line]");
  const list = form.querySelector(".lines");

  form.querySelector("[name=more]").addEventListener("click", (event) => {
    event.preventDefault();
    let first = null;
    for (let n = 0; n < AT_ONCE && Number(total.value) < most; n += 1) {
      const number = Number(total.value);
      const text = blank.innerHTML
        .replaceAll("__prefix__", String(number))
        .replaceAll("__line__", String(number + 1));
      list.insertAdjacentHTML("beforeend", text);
      total.value = String(number + 1);
      first ||= list.lastElementChild;
    }
    first?.querySelector("input:not([type=hidden]), select")?.focus();
  });
}
