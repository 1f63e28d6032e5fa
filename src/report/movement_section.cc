// SPDX-License-Identifier: Apache-2.0
#include "page/each_unit.h"
#include "page/key.h"
#include "page/numbers.h"
#include "report/live.h"
#include "report/pictures.h"
#include "report/sections.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

std::vector<KeyEntry> toe_key(const ReportInput& input) {
  std::vector<KeyEntry> entries{{"now", "now"}, {"after", "", live_plan_name(input)}};
  if (best_is_another(input.advice)) entries.push_back({"best", "best height"});
  entries.push_back({"rule", "rule of thumb: link parallel to the arm"});
  return entries;
}

Markup toe_notes(const Advice& advice) {
  std::string text;
  if (advice.now.toe_change_sigma_rad.size() == advice.now.travel_mm.size() &&
      advice.best_height_change_mm.sigma > 0.0)
    text = "Shaded: \xC2\xB1 one standard uncertainty. ";
  text += "A curve that stands upright on the middle line is free of bump steer.";
  const ToeCurve after = plan_of(advice).curve;
  if (!advice.now.ended_early.empty()) text += " The curve ends early: " + advice.now.ended_early;
  if (!after.ended_early.empty() && after.ended_early != advice.now.ended_early)
    text += " After the change it ends early: " + after.ended_early;
  return element("figcaption", lengths_in_each_unit(text));
}

Markup toe_figure(const ReportInput& input) {
  return figure("Toe change over wheel travel", toe_picture(input),
                key(toe_key(input)) + toe_notes(input.advice));
}

std::string front_words(const ReportInput& input) {
  std::string words =
      "Drawn to scale; the wheel is sketched. In the plane of the steering link the wheel swings about the "
      "instant centre. A link that points at it does not steer the wheel in the first bit of travel.";
  if (!input.figures) return words;
  return words + " (The instant centre among \"all figures\" is another: it lies in the plane of the tyre.)";
}

Markup front_figure(const ReportInput& input) {
  const bool parallel = input.advice.front_view.arms_parallel;
  return figure("The corner at ride height", front_view_picture(input),
                key({{"now", "steering link now"},
                     {"after", "link ", live_plan_name(input)},
                     {"centre-line", parallel ? "along the arms" : "from rod end to instant centre"}}) +
                    caption(front_words(input)));
}

Markup angle_figure(const ReportInput& input) {
  const Advice& advice = input.advice;
  return figure("How far link and arm are out of step", angle_picture(input),
                caption("Mismatch, link minus lower arm: " + with_minus(angle_text(advice.mismatch_rad, 2)) +
                        ". Effective mismatch, link minus the line to the instant centre: " +
                        with_minus(angle_text(advice.effective_mismatch_rad, 2)) +
                        ". The effective one is what steers."));
}

Markup geometry_table(const ReportInput& input) {
  return in_each_unit(input, [](const ReportInput& shown) {
    return table("In numbers, at ride height", {{""}, {"", ColumnKind::number}}, geometry_rows(shown));
  });
}

Markup other_views(const ReportInput& input) {
  return element("div", {{"class", "small-pair"}},
                 figure("From the side", side_view_picture(input), Markup()) +
                     figure("From above", plan_view_picture(input), Markup()));
}

}  // namespace

Markup movement_section(const ReportInput& input) {
  Markup section = element("h2", "What the wheel does") + pair(toe_figure(input), geometry_table(input));
  if (const Markup front = front_figure(input); !front.empty())
    section += element("h2", "Why it does so") + pair(front, angle_figure(input) + other_views(input));
  return element("section", {{"class", "sheet"}}, section);
}

}  // namespace pivotfix::report
