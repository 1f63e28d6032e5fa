// SPDX-License-Identifier: Apache-2.0
// Which unit the lengths are shown in. All of them are in the page; page.css hides the others.
function showUnit(unit) {
  document.body.dataset.unit = unit;
}

function startUnits() {
  const fieldset = document.getElementById("units");
  if (!fieldset) return;
  fieldset.hidden = false;
  fieldset.addEventListener("change", (event) => showUnit(event.target.value));
  // A page that was reloaded keeps the state of its buttons.
  const checked = fieldset.querySelector("input:checked");
  if (checked) showUnit(checked.value);
}
