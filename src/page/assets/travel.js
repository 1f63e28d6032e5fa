// SPDX-License-Identifier: Apache-2.0
// The slider that moves the wheel: the mark in the toe curve, what toe does there, and the view in space.
function startTravel(data, space) {
  const slider = document.getElementById("travel");
  if (!slider) return { chosen() {} };
  const words = document.getElementById("travel-words");
  const mark = document.getElementById("travel-mark");
  let choice = data.suggested;

  function show() {
    const state = Number(slider.value);
    const unit = document.body.dataset.unit;
    words.textContent =
      `${data.travel["words-" + unit][state]}: ${data.travel.now[state]} now, ` +
      `${data.travel.after[choice][state]} after`;
    slider.setAttribute("aria-valuetext", words.textContent);
    if (mark) mark.setAttribute("transform", `translate(0 ${mark.dataset.perMm * data.travel.mm[state]})`);
    space.move(state);
  }

  slider.addEventListener("input", show);
  const units = document.getElementById("units");
  if (units) units.addEventListener("change", show);
  show();
  return {
    chosen(index) {
      choice = index;
      show();
    },
  };
}
