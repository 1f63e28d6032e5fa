// SPDX-License-Identifier: Apache-2.0
#include "report/report.h"

#include "page/cautions.h"
#include "page/page.h"
#include "report/figures_section.h"
#include "report/page_data.h"
#include "report/photo_sets.h"
#include "report/sections.h"
#include "report/tables.h"

namespace pivotfix {
namespace report {
namespace {

Markup head_section(const ReportInput& input) {
  const HardpointSet& set = input.hardpoints;
  const std::string title = input.title.empty() ? set.title : input.title;
  return element("header", element("h1", title.empty() ? "Bump steer report" : title) +
                               paragraph("Bump steer, " + std::string(name_of(set.side)) + " front corner, " +
                                             words_of(set.layout),
                                         "sub") +
                               unit_switch(input.unit));
}

Markup foot_section(const ReportInput& input) {
  return element("footer", paragraph("Made by pivotfix " + input.program_version +
                                     ". Angles in degrees; toe-in positive; camber positive with the top "
                                     "outwards; travel of the wheel's centre from ride height."));
}

}  // namespace

Markup in_each_unit(const ReportInput& input, const std::function<Markup(const ReportInput&)>& make) {
  ReportInput shown = input;
  return in_each_unit([&](LengthUnit unit) {
    shown.unit = unit;
    return make(shown);
  });
}

}  // namespace report

std::string report_html(const ReportInput& input) {
  using namespace report;
  PageContent content;
  content.title = input.title.empty() ? "Bump steer report" : input.title;
  content.unit = input.unit;
  // The slider stays in sight while what it changes is.
  const Markup tried = element(
      "div", answer_section(input) + choice_slider(input) + limits_section(input) + movement_section(input));
  content.data_json = page_data(input);
  content.draws_in_space = !content.data_json.empty();
  content.body = head_section(input) + tried + space_section(input) + what_if_section(input) +
                 numbers_section(input) + figures_section(input) + next_shots_section(input) +
                 photo_sets_section(input) + photographs_section(input) + cautions_section() +
                 record_section(input) + foot_section(input);
  return page_html(content);
}

}  // namespace pivotfix
