// SPDX-License-Identifier: Apache-2.0
startUnits();
const element = document.getElementById("data");
if (element) {
  const data = JSON.parse(element.textContent);
  const travel = startTravel(data, startSpace(data.space));
  startChoices(data, (index) => travel.chosen(index));
}
