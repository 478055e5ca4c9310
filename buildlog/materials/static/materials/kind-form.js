// Leaves only the measures and units that matter for the kind of material chosen. What was typed
// in a box that is put away is kept and sent.

function fit(form, units) {
  const kind = form.elements.kind.value;
  for (const measure of form.querySelectorAll("[data-kinds]")) {
    const wrong = measure.querySelector("[aria-invalid=true]");
    measure.hidden = Boolean(kind) && !wrong && !measure.dataset.kinds.split(" ").includes(kind);
  }
  const usual = units[kind];
  if (!usual) return;
  const unit = form.elements.unit;
  for (const option of unit.options) {
    option.hidden = option.disabled = Boolean(option.value) && !usual.includes(option.value);
  }
  if (!usual.includes(unit.value)) unit.value = usual[0];
}

for (const form of document.querySelectorAll("[data-kind-form]")) {
  const units = JSON.parse(form.dataset.units);
  form.classList.add("fitted");
  form.elements.kind.addEventListener("change", () => fit(form, units));
  fit(form, units);
}
