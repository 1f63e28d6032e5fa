// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/length_words.h"
#include "club_report/comparison.h"

namespace pivotfix {
namespace {

using Json = nlohmann::ordered_json;

double rounded(double value) {
  const double result = std::round(value * 1e6) / 1e6;
  return result == 0.0 ? 0.0 : result;  // never "-0.0"
}

double probability(double value) {
  return value < 1e-6 ? 0.0 : rounded(value);
}

Json list(const Eigen::Vector3d& values) {
  return {rounded(values.x()), rounded(values.y()), rounded(values.z())};
}

const char* name_of(Movement movement) {
  if (movement == Movement::surely) return "surely";
  return movement == Movement::perhaps ? "perhaps" : "no";
}

Json json_from(const Verdict& verdict) {
  return {{"chi_square", rounded(verdict.statistic)},
          {"degrees_of_freedom", verdict.freedom},
          {"chance", probability(verdict.alone)},
          {"chance_of_all", probability(verdict.probability)},
          {"moved", name_of(verdict.movement)}};
}

Json json_from(const Shift& shift, bool judged) {
  Json json{{"pivot", shift.name},
            {"shift_mm", list(shift.shift_mm)},
            {"length_mm", rounded(shift.shift_mm.norm())}};
  if (!shift.direction_words.empty()) json["direction"] = shift.direction_words;
  if (!judged) return json;
  json["sigma_mm"] = list(shift.sigma_mm());
  json["length_sigma_mm"] = rounded(shift.length_sigma_mm());
  json["held_fixed"] = shift.reference;
  if (!shift.reference) json["verdict"] = json_from(shift.verdict);
  return json;
}

// Without what is not known.
Json json_from(const BeforeAfter& change, double per_unit) {
  Json json = Json::object();
  for (const auto& [name, one] : {std::pair{"first", &change.before}, std::pair{"second", &change.after},
                                  std::pair{"change", &change.change}})
    if (std::isfinite(one->value))
      json[name] = {{"value", rounded(per_unit * one->value)}, {"sigma", rounded(per_unit * one->sigma)}};
  return json;
}

Json degrees(const std::vector<double>& values_rad) {
  Json json = Json::array();
  for (const double value : values_rad) json.push_back(rounded(deg_from_rad(value)));
  return json;
}

Json curve(const ToeCurve& toe, const std::vector<double>& camber_rad,
           const std::vector<double>& camber_sigma_rad) {
  Json travel = Json::array();
  for (const double value : toe.travel_mm) travel.push_back(rounded(value));
  return {{"travel_mm", travel},
          {"toe_change_deg", degrees(toe.toe_change_rad)},
          {"toe_sigma_deg", degrees(toe.toe_change_sigma_rad)},
          {"camber_change_deg", degrees(camber_rad)},
          {"camber_sigma_deg", degrees(camber_sigma_rad)}};
}

Json json_from(const CornerChange& corner) {
  const double to_deg = deg_from_rad(1.0);
  Json json{{"arm_angle_deg", json_from(corner.arm_angle_rad, to_deg)},
            {"link_angle_deg", json_from(corner.link_angle_rad, to_deg)},
            {"mismatch_deg", json_from(corner.mismatch_rad, to_deg)},
            {"effective_mismatch_deg", json_from(corner.effective_mismatch_rad, to_deg)},
            {"one_inch_toe_change_deg", json_from(corner.one_inch_toe_rad, to_deg)},
            {"one_inch_camber_change_deg", json_from(corner.camber_gain_rad, to_deg)},
            {"toe_deg", json_from(corner.toe_rad, to_deg)},
            {"camber_deg", json_from(corner.camber_rad, to_deg)},
            {"caster_deg", json_from(corner.caster_rad, to_deg)},
            {"inclination_deg", json_from(corner.inclination_rad, to_deg)}};
  if (corner.best_height_found) json["rod_end_to_best_height_mm"] = json_from(corner.best_height_mm, 1.0);
  json["first_curve"] = curve(corner.toe_before, corner.camber_before_rad, corner.camber_before_sigma_rad);
  json["second_curve"] = curve(corner.toe_after, corner.camber_after_rad, corner.camber_after_sigma_rad);
  return json;
}

}  // namespace

std::string compare_json(const ComparisonReport& input) {
  const Comparison& comparison = input.comparison;
  const bool on_tags = comparison.overlay.alignment == Alignment::body_tags;
  Json json{{"format", "pivotfix comparison"},
            {"version", 1},
            {"program", input.program_version},
            {"first", input.before_name},
            {"second", input.after_name},
            {"mirrored", comparison.mirrored},
            {"false_alarms", comparison.options.false_alarms},
            {"laid_over_on", on_tags ? "body tags" : "axes"}};
  if (on_tags) {
    json["tags"] = comparison.overlay.tags;
    json["tags_left_out"] = comparison.overlay.left_out;
    json["tags_fit_mm"] = rounded(comparison.overlay.rms_mm);
  }
  json["judged"] = comparison.judged;
  if (comparison.judged) {
    json["touched_only"] = comparison.touched_only;
    json["together"] = json_from(comparison.together);
  }
  json["shifts"] = Json::array();
  for (const Shift& shift : comparison.shifts) json["shifts"].push_back(json_from(shift, comparison.judged));
  if (comparison.corner) json["corner"] = json_from(*comparison.corner);
  json["notes"] = Json::array();
  for (const std::string& note : comparison.notes) json["notes"].push_back(with_plain_spaces(note));
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace pivotfix
