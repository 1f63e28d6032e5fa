// SPDX-License-Identifier: Apache-2.0
#include "report/page_data.h"

#include <cmath>

#include "advice/toe_at.h"
#include "page/each_unit.h"
#include "page/numbers.h"
#include "report/live.h"

namespace pivotfix::report {
namespace {

using Json = nlohmann::ordered_json;

// { "after-mm": [texts of the first plan, of the second, ...], ... }
Json live_data(const ReportInput& input, const Plans& plans) {
  Json live = Json::object();
  ReportInput shown = input;
  for (const LengthUnit unit : all_units) {
    shown.unit = unit;
    for (const Plan& plan : plans.plans)
      for (const LiveColumn& column : live_columns(shown, plan)) live[column.name].push_back(column.texts);
  }
  return live;
}

// To whole steps of which `steps` make one unit; what is no number becomes null.
double rounded_to(double value, double steps) {
  return std::isfinite(value) ? std::round(value * steps) / steps : value;
}

Json rounded_list(const std::vector<double>& values, double steps) {
  Json list = Json::array();
  for (double value : values) list.push_back(rounded_to(value, steps));
  return list;
}

// The curves as numbers, for whoever reads the page by program.
Json curve_data(const ToeCurve& curve) {
  std::vector<double> toe_deg;
  for (double toe_rad : curve.toe_change_rad) toe_deg.push_back(deg_from_rad(toe_rad));
  return {{"travel_mm", rounded_list(curve.travel_mm, 1e3)}, {"toe_deg", rounded_list(toe_deg, 1e5)}};
}

Json choice_data(const Plans& plans) {
  Json list = Json::array();
  for (const Plan& plan : plans.plans) {
    Json choice = curve_data(plan.curve);
    choice["rod_end_mm"] = rounded_to(plan.height_change_mm, 1e4);
    list.push_back(choice);
  }
  return list;
}

// What toe does at each state of the motion: now, and with each plan.
Json toe_at_travel(const ToeCurve& curve, const Curve& motion) {
  Json words = Json::array();
  for (const CornerState& state : motion.states) {
    const auto toe = toe_at(curve, state.travel_mm);
    words.push_back(toe ? toe_words(toe->toe_rad, 0.0, 2) : std::string(not_known));
  }
  return words;
}

Json travel_data(const ReportInput& input, const Plans& plans) {
  const Curve& motion = input.exploration->motion;
  Json travel = {{"mm", Json::array()}, {"now", toe_at_travel(input.advice.now, motion)}};
  for (const CornerState& state : motion.states) travel["mm"].push_back(rounded_to(state.travel_mm, 1e3));
  for (const LengthUnit unit : all_units) {
    Json words = Json::array();
    for (const CornerState& state : motion.states)
      words.push_back(std::abs(state.travel_mm) < 1e-9
                          ? "ride height"
                          : length_text(std::abs(state.travel_mm), 0.0, unit, 0) +
                                (state.travel_mm > 0.0 ? " bump" : " droop"));
    travel["words-" + std::string(name_of(unit))] = words;
  }
  travel["after"] = Json::array();
  for (const Plan& plan : plans.plans) travel["after"].push_back(toe_at_travel(plan.curve, motion));
  return travel;
}

}  // namespace

std::string page_data(const ReportInput& input) {
  if (!input.exploration || input.exploration->choices.empty()) return {};
  const Plans plans = plans_of(input);
  const Json data = {{"now", input.exploration->now},       {"suggested", plans.suggested},
                     {"choices", choice_data(plans)},       {"live", live_data(input, plans)},
                     {"travel", travel_data(input, plans)}, {"space", space_data(input)}};
  return data.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace pivotfix::report
