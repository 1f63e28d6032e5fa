// SPDX-License-Identifier: Apache-2.0
// The slider that moves the rod end. What it shows was solved by the program: drawings stand in the page, one
// for each choice, texts in the data.
function showChoice(data, index) {
  for (const drawing of document.querySelectorAll(".choice"))
    drawing.classList.toggle("chosen", Number(drawing.dataset.choice) === index);
  for (const cell of document.querySelectorAll("[data-live]"))
    cell.textContent = data.live[cell.dataset.live][index][Number(cell.dataset.row)];
  document.body.dataset.choice = index;
}

// Calls `changed` with the index of each new choice.
function startChoices(data, changed) {
  const box = document.getElementById("choice-slider");
  if (!box) return;
  const slider = document.getElementById("choice");
  // What is seen is what is read out: in the unit that is shown.
  const sayChoice = () =>
    slider.setAttribute("aria-valuetext", document.getElementById("choice-words").innerText);
  const choose = (index) => {
    slider.value = index;
    showChoice(data, index);
    sayChoice();
    changed(index);
  };
  slider.addEventListener("input", () => choose(Number(slider.value)));
  document.getElementById("choice-now").addEventListener("click", () => choose(data.now));
  document.getElementById("choice-suggested").addEventListener("click", () => choose(data.suggested));
  const units = document.getElementById("units");
  if (units) units.addEventListener("change", sayChoice);
  box.hidden = false;
  choose(data.suggested);
}
