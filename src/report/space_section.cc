// SPDX-License-Identifier: Apache-2.0
#include "page/each_unit.h"
#include "page/numbers.h"
#include "report/page_data.h"
#include "report/sections.h"

namespace pivotfix::report {
namespace {

Markup view_button(const char* view, const char* words) {
  return element("button", {{"type", "button"}, {"data-view", view}}, plain(words));
}

// Moves the eye.
Markup move_button(const char* words) {
  return element("button", {{"type", "button"}, {"data-move", words}}, plain(words));
}

std::string what_is_drawn(const ReportInput& input) {
  std::string text = "Drag to turn, or use the arrow keys and + and \xE2\x88\x92 once the picture is chosen.";
  const double enlargement = ellipsoid_enlargement(input.hardpoints);
  if (enlargement > 0.0)
    text += " Orange: error ellipsoids of the pivots, one standard uncertainty, drawn " +
            format_fixed(enlargement, 0) + " times as large.";
  if (input.network) text += " Squares: tags, as they stood at ride height. Pyramids: photos.";
  return text;
}

}  // namespace

Markup space_section(const ReportInput& input) {
  if (!input.exploration || input.exploration->motion.states.empty()) return {};
  const std::size_t states = input.exploration->motion.states.size();
  std::size_t ride = 0;
  for (std::size_t i = 0; i < states; ++i)
    if (input.exploration->motion.states[i].travel_mm == 0.0) ride = i;
  const Markup range = element("input",
                               {{"type", "range"},
                                {"id", "travel"},
                                {"min", "0"},
                                {"max", std::to_string(states - 1)},
                                {"value", std::to_string(ride)}},
                               Markup());
  const Markup views = element("div", {{"class", "views"}},
                               view_button("ahead", "from ahead") + view_button("side", "from the side") +
                                   view_button("above", "from above") +
                                   view_button("corner", "from a corner") + move_button("higher") +
                                   move_button("lower") + move_button("nearer") + move_button("further"));
  const Markup picture = element("div",
                                 {{"id", "space"},
                                  {"tabindex", "0"},
                                  {"role", "img"},
                                  {"aria-label",
                                   "The corner in space: pivots with their error ellipsoids, links, wheel, "
                                   "tags and photos. The front, side and plan views and the hardpoint table "
                                   "have the same."}},
                                 Markup());
  const Markup slider = element("div", {{"class", "slider"}},
                                element("label", {{"for", "travel"}}, plain("Wheel travel")) + range +
                                    element("output", {{"for", "travel"}, {"id", "travel-words"}}, Markup()));
  return element("section", {{"id", "space-section"}, {"hidden", "hidden"}},
                 element("h2", "In space") + views + picture + slider +
                     element("p", {{"class", "note"}}, plain(what_is_drawn(input))));
}

}  // namespace pivotfix::report
