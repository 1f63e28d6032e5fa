// SPDX-License-Identifier: Apache-2.0
// The parts of the hardpoint file that say what the rod end is and how the car is driven and measured.
#include <algorithm>
#include <cmath>

#include "hardpoints/hardpoint_json_fields.h"

namespace pivotfix {
namespace {

std::vector<Spacer> spacers_from(Fields& rod_end, const std::string& name, LengthUnit unit) {
  std::vector<Spacer> spacers;
  if (!rod_end.has(name)) return spacers;
  const Json list = rod_end.take(name);
  if (!list.is_array()) rod_end.refuse_value(name, "must be a list of spacers");
  for (const Json& item : list) {
    Fields fields(item, rod_end.path_to(name), rod_end.source());
    const Json thickness = fields.take("thickness");
    Spacer spacer;
    spacer.thickness_mm = fields.length_from(thickness, "thickness", unit);
    if (!(spacer.thickness_mm > 0.0)) fields.refuse_value("thickness", "must be more than zero");
    if (fields.has("count")) {
      const double count = fields.number("count");
      if (count != std::floor(count) || count < 0.0 || count > 1000.0)
        fields.refuse_value("count", "must be a whole number from 0 to 1000");
      spacer.count = static_cast<int>(count);
    }
    if (fields.has("label")) spacer.label = fields.text("label");
    if (spacer.label.empty())
      spacer.label = thickness.is_string()
                         ? length_as_written(thickness.get<std::string>(), unit)
                         : format_length(spacer.thickness_mm, unit, unit == LengthUnit::inch ? 3 : 2);
    // Fields in a list cannot be put back where they were, and here they are most likely misspelt.
    if (!fields.left().empty()) fields.refuse_value(fields.left().begin().key(), "is no field of a spacer");
    spacers.push_back(spacer);
  }
  return spacers;
}

// Zero when absent: not known.
double size_from(Fields& fields, const std::string& name, LengthUnit unit) {
  if (!fields.has(name)) return 0.0;
  const double length_mm = fields.length_mm(name, unit);
  if (!(length_mm > 0.0)) fields.refuse_value(name, "must be more than zero");
  return length_mm;
}

double angle_rad_from(Fields& fields, const std::string& name, double least_deg, double most_deg) {
  const double angle_deg = fields.number(name);
  if (!(angle_deg >= least_deg && angle_deg <= most_deg))
    fields.refuse_value(name, "must be between " + format_fixed(least_deg, 0) + " and " +
                                  format_fixed(most_deg, 0) + " degrees");
  return rad_from_deg(angle_deg);
}

// A part of the rod end's object with the same name; `read` takes what it knows of it.
template <typename Read>
void read_part(Fields& rod_end, const std::string& name, Read read) {
  if (!rod_end.has(name)) return;
  Fields fields(rod_end.take(name), rod_end.path_to(name), rod_end.source());
  read(fields);
  rod_end.keep(name, fields.unknown());
}

HighMisalignmentSpacers high_misalignment_from(Fields& fields, LengthUnit unit) {
  HighMisalignmentSpacers spacers;
  spacers.thickness_mm = size_from(fields, "thickness", unit);
  if (spacers.thickness_mm == 0.0) fields.refuse_value("thickness", "is missing");
  spacers.diameter_mm = size_from(fields, "diameter", unit);
  if (fields.has("on_car")) spacers.on_car = fields.flag("on_car");
  if (fields.has("label")) spacers.label = fields.text("label");
  return spacers;
}

Stud stud_from(Fields& fields, LengthUnit unit) {
  Stud stud;
  stud.length_mm = size_from(fields, "length", unit);
  stud.nut_height_mm = size_from(fields, "nut_height", unit);
  if (fields.has("thread_beyond_nut")) {
    stud.thread_beyond_nut_mm = fields.length_mm("thread_beyond_nut", unit);
    if (stud.thread_beyond_nut_mm < 0.0) fields.refuse_value("thread_beyond_nut", "must not be negative");
  }
  return stud;
}

RodEndSizes sizes_from(Fields& fields, LengthUnit unit) {
  RodEndSizes sizes;
  sizes.ball_width_mm = size_from(fields, "ball_width", unit);
  sizes.ball_diameter_mm = size_from(fields, "ball_diameter", unit);
  sizes.housing_width_mm = size_from(fields, "housing_width", unit);
  sizes.bore_mm = size_from(fields, "bore", unit);
  sizes.spacer_diameter_mm = size_from(fields, "spacer_diameter", unit);
  if (fields.has("allowed_tilt_deg"))
    sizes.allowed_tilt_rad = angle_rad_from(fields, "allowed_tilt_deg", 1.0, 60.0);
  return sizes;
}

std::vector<TravelWeight> weights_from(Fields& travel, LengthUnit unit) {
  std::vector<TravelWeight> weights;
  const Json list = travel.take("weights");
  if (!list.is_array()) travel.refuse_value("weights", "must be a list of objects with travel and weight");
  for (const Json& item : list) {
    Fields fields(item, travel.path_to("weights"), travel.source());
    TravelWeight point;
    point.travel_mm = fields.length_mm("travel", unit);
    point.weight = fields.number("weight");
    if (!(point.weight >= 0.0 && point.weight <= 1000.0))
      fields.refuse_value("weight", "must be between 0 and 1000");
    if (!weights.empty() && !(point.travel_mm > weights.back().travel_mm))
      fields.refuse_value("travel", "must rise from one weight to the next");
    if (!fields.left().empty()) fields.refuse_value(fields.left().begin().key(), "is no field of a weight");
    weights.push_back(point);
  }
  return weights;
}

ToeReading reading_from(const Json& item, const Path& path, const Fields& file, LengthUnit unit) {
  Fields fields(item, path, file.source());
  ToeReading reading;
  reading.travel_mm = fields.length_mm("travel", unit);
  if (std::abs(reading.travel_mm) > 300.0) fields.refuse_value("travel", "must be between -300 and 300 mm");
  reading.toe_rad = angle_rad_from(fields, "toe_deg", -20.0, 20.0);
  reading.sigma_rad = angle_rad_from(fields, "sigma_deg", 0.0, 5.0);
  if (!(reading.sigma_rad > 0.0)) fields.refuse_value("sigma_deg", "must be more than zero");
  if (fields.has("travel_sigma")) {
    reading.travel_sigma_mm = fields.length_mm("travel_sigma", unit);
    if (reading.travel_sigma_mm < 0.0) fields.refuse_value("travel_sigma", "must not be negative");
  }
  reading.from_photos = fields.has("from_photos") && fields.flag("from_photos");
  reading.only_compared = fields.has("only_compared") && fields.flag("only_compared");
  if (!fields.left().empty()) fields.refuse_value(fields.left().begin().key(), "is no field of a reading");
  return reading;
}

}  // namespace

void read_rod_end(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("rod_end")) return;
  Fields fields(file.take("rod_end"), {"rod_end"}, file.source());
  RodEnd rod_end;
  if (fields.has("stud_axis")) rod_end.stud_axis_vehicle = axis_from(fields, "stud_axis", 2);
  rod_end.mount = fields.named("mount", rod_end_mount_from_name);
  rod_end.between_now = spacers_from(fields, "between_now", unit);
  rod_end.stock = spacers_from(fields, "stock", unit);
  if (fields.has("other_side_now")) rod_end.other_side_now = spacers_from(fields, "other_side_now", unit);
  if (fields.has("stack_total")) rod_end.stack_total_mm = size_from(fields, "stack_total", unit);
  read_part(fields, "high_misalignment",
            [&](Fields& part) { rod_end.high_misalignment = high_misalignment_from(part, unit); });
  read_part(fields, "stud", [&](Fields& part) { rod_end.stud = stud_from(part, unit); });
  read_part(fields, "sizes", [&](Fields& part) { rod_end.sizes = sizes_from(part, unit); });
  if (fields.has("steering_lock_deg"))
    rod_end.steering_lock_rad = angle_rad_from(fields, "steering_lock_deg", 0.0, 60.0);
  set.rod_end = rod_end;
  file.keep("rod_end", fields.unknown());
}

// A named way of driving has its travel; what stands beside the name replaces parts of it.
void read_driving(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("travel")) return;
  Fields fields(file.take("travel"), {"travel"}, file.source());
  const bool named = fields.has("driving");
  Driving driving;
  if (named) driving = fields.named("driving", driving_named);
  const auto read_travel = [&](const std::string& name, double& travel_mm) {
    if (named && !fields.has(name)) return;
    travel_mm = fields.length_mm(name, unit);
    if (travel_mm < 0.0 || travel_mm > 1000.0) fields.refuse_value(name, "must be between 0 and 1000 mm");
  };
  read_travel("bump", driving.travel.bump_mm);
  read_travel("droop", driving.travel.droop_mm);
  if (fields.has("aim")) driving.aim = fields.named("aim", height_aim_from_name);
  if (fields.has("weights")) driving.weights = weights_from(fields, unit);
  set.driving = driving;
  file.keep("travel", fields.unknown());
}

void read_readings(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("readings")) return;
  const Json list = file.take("readings");
  if (!list.is_array()) file.refuse_value("readings", "must be a list of toe readings");
  for (const Json& item : list) set.readings.push_back(reading_from(item, {"readings"}, file, unit));
}

}  // namespace pivotfix
