// SPDX-License-Identifier: Apache-2.0
// Writing the hardpoint file: a person must be able to read it and type its like.
#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "hardpoints/hardpoint_json_fields.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {
namespace {

// Positions to 1e-6 mm, spreads to 1e-4 mm: beyond that are only digits that nobody can read.
double rounded(double value, double per_unit) {
  const double result = std::round(value * per_unit) / per_unit;
  return result == 0.0 ? 0.0 : result;  // no "-0.0"
}

std::string compact(const Json& value) {
  return value.dump(-1, ' ', false, Json::error_handler_t::replace);
}

// One line with spaces after the commas: {"x": 1.0, "y": 2.0}
std::string one_line(const Json& value) {
  if (!value.is_structured() || value.empty()) return compact(value);
  std::string text;
  for (const auto& item : value.items()) {
    text += text.empty() ? "" : ", ";
    if (value.is_object()) text += compact(Json(item.key())) + ": ";
    text += one_line(item.value());
  }
  return value.is_object() ? "{" + text + "}" : "[" + text + "]";
}

// Like one_line, but breaks what does not fit; a row of numbers is never broken.
std::string pretty(const Json& value, const std::string& indent) {
  std::string line = one_line(value);
  const bool row_of_numbers = value.is_array() && std::all_of(value.begin(), value.end(),
                                                              [](const Json& v) { return v.is_number(); });
  if (!value.is_structured() || value.empty() || row_of_numbers || line.size() + indent.size() <= 130)
    return line;
  const std::string inner = indent + "  ";
  std::string text;
  for (const auto& item : value.items()) {
    text += (text.empty() ? "\n" : ",\n") + inner;
    if (value.is_object()) text += compact(Json(item.key())) + ": ";
    text += pretty(item.value(), inner);
  }
  return (value.is_object() ? "{" : "[") + text + "\n" + indent + (value.is_object() ? "}" : "]");
}

Json json_from(const HardpointSet& set, std::size_t index) {
  const Hardpoint& point = set.points[index];
  Json json = Json::object();
  json["x"] = rounded(point.position_vehicle_mm.x(), 1e6);
  json["y"] = rounded(point.position_vehicle_mm.y(), 1e6);
  json["z"] = rounded(point.position_vehicle_mm.z(), 1e6);
  if (set.covariance_mm2.size() > 0) {
    json["sigma"] = Json::array();
    for (int c = 0; c < 3; ++c) json["sigma"].push_back(rounded(sigma_mm(set, index, c), 1e4));
  }
  if (!point.way.empty()) json["way"] = point.way;
  if (point.on_line_only) json["on_line_only"] = true;
  return json;
}

Json json_from_covariance(const HardpointSet& set) {
  Json order = Json::array();
  for (const Hardpoint& point : set.points) order.push_back(point.name);
  return {{"order", order}, {"mm2", json_rows(set.covariance_mm2)}};
}

Json json_from(const std::vector<Spacer>& spacers) {
  Json list = Json::array();
  for (const Spacer& spacer : spacers) {
    Json json = {{"thickness", rounded(spacer.thickness_mm, 1e6)}, {"count", spacer.count}};
    if (!spacer.label.empty()) json["label"] = spacer.label;
    list.push_back(json);
  }
  return list;
}

void add_known(Json& json, const char* name, double length_mm) {
  if (length_mm > 0.0) json[name] = rounded(length_mm, 1e6);
}

Json json_from(const Stud& stud) {
  Json json = Json::object();
  add_known(json, "length", stud.length_mm);
  add_known(json, "nut_height", stud.nut_height_mm);
  if (stud.thread_beyond_nut_mm != Stud{}.thread_beyond_nut_mm)
    json["thread_beyond_nut"] = rounded(stud.thread_beyond_nut_mm, 1e6);
  return json;
}

Json json_from(const RodEndSizes& sizes) {
  Json json = Json::object();
  add_known(json, "ball_width", sizes.ball_width_mm);
  add_known(json, "ball_diameter", sizes.ball_diameter_mm);
  add_known(json, "housing_width", sizes.housing_width_mm);
  add_known(json, "bore", sizes.bore_mm);
  add_known(json, "spacer_diameter", sizes.spacer_diameter_mm);
  if (sizes.allowed_tilt_rad > 0.0)
    json["allowed_tilt_deg"] = rounded(deg_from_rad(sizes.allowed_tilt_rad), 1e12);
  return json;
}

Json json_from(const RodEnd& rod_end) {
  const Eigen::Vector3d& axis = rod_end.stud_axis_vehicle;
  Json json = Json::object();
  json["stud_axis"] = {axis.x(), axis.y(), axis.z()};
  json["mount"] = name_of(rod_end.mount);
  json["between_now"] = json_from(rod_end.between_now);
  json["stock"] = json_from(rod_end.stock);
  if (rod_end.other_side_now) json["other_side_now"] = json_from(*rod_end.other_side_now);
  if (rod_end.stack_total_mm) json["stack_total"] = rounded(*rod_end.stack_total_mm, 1e6);
  if (rod_end.high_misalignment) {
    const HighMisalignmentSpacers& spacers = *rod_end.high_misalignment;
    Json part = {{"thickness", rounded(spacers.thickness_mm, 1e6)}};
    add_known(part, "diameter", spacers.diameter_mm);
    part["on_car"] = spacers.on_car;
    if (!spacers.label.empty()) part["label"] = spacers.label;
    json["high_misalignment"] = part;
  }
  if (const Json stud = json_from(rod_end.stud); !stud.empty()) json["stud"] = stud;
  if (const Json sizes = json_from(rod_end.sizes); !sizes.empty()) json["sizes"] = sizes;
  if (rod_end.steering_lock_rad > 0.0)
    json["steering_lock_deg"] = rounded(deg_from_rad(rod_end.steering_lock_rad), 1e12);
  return json;
}

Json json_from(const WheelSetting& wheel) {
  Json json = Json::object();
  if (wheel.toe_is_known) json["toe_deg"] = rounded(deg_from_rad(wheel.toe_rad), 1e12);
  if (wheel.camber_is_known) json["camber_deg"] = rounded(deg_from_rad(wheel.camber_rad), 1e12);
  if (wheel.camber_is_known && wheel.camber_sigma_rad > 0.0)
    json["camber_sigma_deg"] = rounded(deg_from_rad(wheel.camber_sigma_rad), 1e12);
  if (wheel.camber_is_known && wheel.camber_from_photos) json["camber_from_photos"] = true;
  json["rim_diameter"] = rounded(wheel.rim_diameter_mm, 1e6);
  return json;
}

Json json_from(const Driving& driving) {
  Json json = Json::object();
  if (!driving.name.empty()) json["driving"] = driving.name;
  json["bump"] = rounded(driving.travel.bump_mm, 1e6);
  json["droop"] = rounded(driving.travel.droop_mm, 1e6);
  if (driving.aim != HeightAim::least_squares) json["aim"] = name_of(driving.aim);
  if (!driving.weights.empty()) json["weights"] = Json::array();
  for (const TravelWeight& point : driving.weights)
    json["weights"].push_back({{"travel", rounded(point.travel_mm, 1e6)}, {"weight", point.weight}});
  return json;
}

Json json_from(const std::vector<ToeReading>& readings) {
  Json list = Json::array();
  for (const ToeReading& reading : readings) {
    list.push_back({{"travel", rounded(reading.travel_mm, 1e6)},
                    {"toe_deg", rounded(deg_from_rad(reading.toe_rad), 1e12)},
                    {"sigma_deg", rounded(deg_from_rad(reading.sigma_rad), 1e12)},
                    {"travel_sigma", rounded(reading.travel_sigma_mm, 1e6)}});
    if (reading.from_photos) list.back()["from_photos"] = true;
    if (reading.only_compared) list.back()["only_compared"] = true;
  }
  return list;
}

// Fields that this version does not know go back to where they were found.
void add_missing(Json& into, const Json& from) {
  for (const auto& item : from.items()) {
    if (!into.contains(item.key()))
      into[item.key()] = item.value();
    else if (into[item.key()].is_object() && item.value().is_object())
      add_missing(into[item.key()], item.value());
  }
}

}  // namespace

std::string hardpoints_to_json(const HardpointSet& set) {
  Json json = Json::object();
  json["format"] = "pivotfix-hardpoints";
  json["version"] = 1;
  if (!set.program_version.empty()) json["program"] = set.program_version;
  json["title"] = set.title;
  if (!set.record.empty()) json["record"] = json_from(set.record);
  json["side"] = name_of(set.side);
  json["layout"] = name_of(set.layout);
  json["units"] = "mm";
  json["axes"] = "ISO 8855: x forward, y left, z up; origin on the ground below the front axle's middle";
  json["hardpoints"] = Json::object();
  for (std::size_t i = 0; i < set.points.size(); ++i)
    json["hardpoints"][set.points[i].name] = json_from(set, i);
  json["wheel"] = json_from(set.wheel);
  const Eigen::Vector3d& rack = set.rack_axis_vehicle;
  if (rack != Eigen::Vector3d::UnitY())
    json["steering"]["inner_joint_travel"] = {rack.x(), rack.y(), rack.z()};
  if (set.rod_end) json["rod_end"] = json_from(*set.rod_end);
  if (set.driving) json["travel"] = json_from(*set.driving);
  if (!set.readings.empty()) json["readings"] = json_from(set.readings);
  if (set.ride_height)
    json["ride_height"] = {{"above", rounded(set.ride_height->above_mm, 1e4)},
                           {"sigma", rounded(set.ride_height->sigma_mm, 1e4)}};
  if (set.covariance_mm2.size() > 0) json["covariance"] = json_from_covariance(set);
  if (!set.body_tags.numbers.empty()) json["body_tags"] = json_from(set.body_tags);
  if (!set.other_fields_json.empty()) {
    const Json other = Json::parse(set.other_fields_json, nullptr, false);
    if (other.is_object()) add_missing(json, other);
  }
  return pretty(json, "") + "\n";
}

}  // namespace pivotfix
