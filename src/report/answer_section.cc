// SPDX-License-Identifier: Apache-2.0
#include "page/cautions.h"
#include "page/each_unit.h"
#include "page/numbers.h"
#include "page/unbroken.h"
#include "report/live.h"
#include "report/pictures.h"
#include "report/sections.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

// The sentences speak in millimetres.
Markup answer_words(const Advice& advice) {
  Markup words;
  for (std::size_t i = 0; i < advice.sentences.size(); ++i)
    words += element("p", {{"class", i == 0 ? "first" : ""}}, lengths_in_each_unit(advice.sentences[i])) +
             Markup::trusted("\n");
  if (words.empty()) words = paragraph("No advice could be given; see the numbers below.", "first");
  return element("div", {{"class", "answer"}}, words) + Markup::trusted("\n");
}

// Words of the suggested plan that follow the slider.
Markup live_in_each_unit(const ReportInput& input, const char* what,
                         const std::function<std::string(const ReportInput&, const Plan&)>& words) {
  const Plans plans = plans_of(input);
  Markup all;
  ReportInput shown = input;
  for (const LengthUnit unit : all_units) {
    shown.unit = unit;
    all += live_words("span", unit_class(unit), live_name(what, unit),
                      words(shown, plans.plans[plans.suggested]));
  }
  return all;
}

Markup stack_caption(const ReportInput& input) {
  Markup text = plain(
      "Spacers to scale; steering arm, rod end and nut are sketched. Blue: between steering arm and rod end. "
      "Yellow: on the other side of the rod end. ");
  if (!input.advice.stacks.empty()) text += live_in_each_unit(input, live_between, between_words);
  return element("figcaption", text);
}

Markup before_and_after(const ReportInput& input) {
  return in_each_unit(input, [](const ReportInput& shown) {
    const Plans plans = plans_of(shown);
    Column after{plans.plans[plans.suggested].name};
    if (shown.exploration) {
      after.live = live_name(live_after, shown.unit);
      after.live_head = live_name(live_plan, shown.unit);
    }
    return table_unless_empty("", {{""}, {"now"}, after}, before_after_rows(shown)) +
           paragraph(unbroken(how_sure(shown)), "note");
  });
}

Markup stack_figure(const ReportInput& input) {
  const Markup stack = stack_picture(input);
  if (stack.empty()) return paragraph("No spacers were named, so no stack is drawn.", "note");
  return figure("The stack, top to bottom", stack, stack_caption(input));
}

Markup what_limits(const ReportInput& input) {
  const std::vector<std::string> limits = limits_of(input);
  if (limits.empty()) return {};
  return element("div", {{"class", "warnings"}},
                 element("b", "What limits this answer") + bullets_in_each_unit(limits));
}

// Whoever tries another stack must not take the tilt for granted.
Markup tilt_note(const ReportInput& input) {
  if (!(input.advice.tilt.allowed_then_rad > 0.0)) return {};
  return paragraph(std::string("Tilt is checked for the suggested ") +
                       (input.exploration->from_stock ? "stack" : "height") + " only.",
                   "note");
}

Markup button(const std::string& id, const std::string& words) {
  return element("button", {{"type", "button"}, {"id", id}}, plain(words));
}

}  // namespace

Markup choice_slider(const ReportInput& input) {
  if (!input.exploration || input.exploration->choices.empty()) return {};
  const Plans plans = plans_of(input);
  const Markup range = element("input",
                               {{"type", "range"},
                                {"id", "choice"},
                                {"min", "0"},
                                {"max", std::to_string(plans.plans.size() - 1)},
                                {"value", std::to_string(plans.suggested)}},
                               Markup());
  const Markup words = live_in_each_unit(input, live_choice, choice_words) + plain(". ") +
                       live_in_each_unit(input, live_figures, [](const ReportInput&, const Plan& plan) {
                         return figures_words(plan);
                       });
  return element("div", {{"class", "slider"}, {"id", "choice-slider"}, {"hidden", "hidden"}},
                 element("label", {{"for", "choice"}},
                         plain(input.exploration->from_stock ? "Try other stacks" : "Try other heights")) +
                     range + button("choice-now", "as it is") + button("choice-suggested", "suggested") +
                     element("output", {{"for", "choice"}, {"id", "choice-words"}}, words) +
                     tilt_note(input)) +
         Markup::trusted("\n");
}

Markup answer_section(const ReportInput& input) {
  return element("section", pair(answer_words(input.advice), stack_figure(input)) + before_and_after(input));
}

Markup limits_section(const ReportInput& input) {
  const Markup caution =
      element("p", {{"class", "caution"}},
              element("b", "Caution. ") + plain(std::string(short_caution) + " See the end of this report."));
  return element("section", caution + what_limits(input));
}

}  // namespace pivotfix::report
