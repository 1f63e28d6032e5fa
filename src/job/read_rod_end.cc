// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "job/job_parts.h"

namespace pivotfix {
namespace {

// Spacers are sold and measured to a hundredth of a millimetre at best.
constexpr double same_thickness_mm = 0.01;

// A spacer this thick is a slip of units.
constexpr double thickest_mm = 150.0;

Spacer read_spacer(const TomlTable& table) {
  const TomlValue thickness = table.require("thickness", "\"0.200 in\"");
  Spacer spacer{thickness.length_between_mm(0.0, thickest_mm), 1, thickness.length_as_written()};
  if (const auto count = table.find("count")) {
    spacer.count = count->whole_number();
    if (spacer.count < 1 || spacer.count > 50)
      count->fail("\"count\" is " + std::to_string(spacer.count) + ", but may be 1 to 50.", "");
  }
  return spacer;
}

std::vector<Spacer> single_spacers(const TomlValue& value) {
  std::vector<Spacer> spacers;
  for (const TomlValue& thickness : value.list())
    spacers.push_back({thickness.length_between_mm(0.0, thickest_mm), 1, thickness.length_as_written()});
  return spacers;
}

double size_of(const TomlTable& table, const char* key) {
  const auto size = table.find(key);
  return size ? size->length_between_mm(0.0, thickest_mm) : 0.0;
}

HighMisalignmentSpacers read_high_misalignment(const TomlValue& value) {
  const TomlTable table = value.table("rod_end.high_misalignment", "[rod_end.high_misalignment]");
  const TomlValue thickness = table.require("thickness", "\"0.250 in\"");
  HighMisalignmentSpacers spacers;
  spacers.thickness_mm = thickness.length_between_mm(0.0, thickest_mm);
  spacers.label = thickness.length_as_written();
  spacers.diameter_mm = size_of(table, "diameter");
  if (const auto on_car = table.find("on_car")) spacers.on_car = on_car->yes_or_no();
  return spacers;
}

Stud read_stud(const TomlValue& value) {
  const TomlTable table = value.table("rod_end.stud", "[rod_end.stud]");
  Stud stud;
  stud.length_mm = size_of(table, "length");
  stud.nut_height_mm = size_of(table, "nut_height");
  if (const auto beyond = table.find("thread_beyond_nut")) stud.thread_beyond_nut_mm = beyond->sigma_mm();
  return stud;
}

RodEndSizes read_sizes(const TomlValue& value) {
  const TomlTable table = value.table("rod_end.sizes", "[rod_end.sizes]");
  RodEndSizes sizes{size_of(table, "ball_width"),      size_of(table, "ball_diameter"),
                    size_of(table, "housing_width"),   size_of(table, "bore"),
                    size_of(table, "spacer_diameter"), 0.0};
  if (const auto tilt = table.find("allowed_tilt")) {
    sizes.allowed_tilt_rad = tilt->angle_up_to_rad(rad_from_deg(60.0));
    if (!(sizes.allowed_tilt_rad > 0.0)) tilt->fail("\"allowed_tilt\" must be more than zero.", "");
  }
  return sizes;
}

}  // namespace

void read_rod_end(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("rod_end", "[rod_end]");
  RodEnd& rod_end = job.rod_end;
  if (const auto mounted = table.find("mounted"))
    rod_end.mount = mounted->at_place([&] { return rod_end_mount_from_name(mounted->text()); });
  if (const auto axis = table.find("stud_axis")) {
    rod_end.stud_axis_vehicle = axis->direction();
    if (rod_end.stud_axis_vehicle.z() < 0.5)
      axis->fail("\"stud_axis\" must point upwards, no more than 60 degrees off the vertical.",
                 "It is x forward, y left, z up; [0, 0, 1] is upright.");
  }
  if (const auto between = table.find("between_now")) rod_end.between_now = single_spacers(*between);
  if (const auto other = table.find("other_side_now")) rod_end.other_side_now = single_spacers(*other);
  if (const auto total = table.find("stack_total"))
    rod_end.stack_total_mm = total->length_between_mm(0.0, thickest_mm);
  if (const auto spacers = table.find("spacers"))
    for (const TomlTable& spacer :
         spacers->tables("rod_end.spacers", "spacers = [{ thickness = \"0.200 in\", count = 1 }]"))
      rod_end.stock.push_back(read_spacer(spacer));
  if (const auto part = table.find("high_misalignment"))
    rod_end.high_misalignment = read_high_misalignment(*part);
  if (const auto part = table.find("stud")) rod_end.stud = read_stud(*part);
  if (const auto part = table.find("sizes")) rod_end.sizes = read_sizes(*part);
  if (const auto lock = table.find("steering_lock")) {
    rod_end.steering_lock_rad = lock->angle_up_to_rad(rad_from_deg(60.0));
    if (rod_end.steering_lock_rad < 0.0) lock->fail("\"steering_lock\" must not be negative.", "");
  }
  value.at_place([&] { return check_rod_end(rod_end), 0; });
  rod_end = with_spacers_on_car(rod_end);
}

RodEnd with_spacers_on_car(RodEnd rod_end) {
  std::vector<int> left;  // of each kind in stock, after those on the car are taken out
  for (const Spacer& spacer : rod_end.stock) left.push_back(spacer.count);
  std::vector<Spacer> on_stud = rod_end.between_now;
  if (rod_end.other_side_now)
    on_stud.insert(on_stud.end(), rod_end.other_side_now->begin(), rod_end.other_side_now->end());
  for (const Spacer& on_car : on_stud) {
    std::size_t kind = 0;
    while (kind < rod_end.stock.size() &&
           std::abs(rod_end.stock[kind].thickness_mm - on_car.thickness_mm) > same_thickness_mm)
      ++kind;
    if (kind == rod_end.stock.size()) {
      rod_end.stock.push_back({on_car.thickness_mm, 0, on_car.label});
      left.push_back(0);
    }
    left[kind] -= on_car.count;
    if (left[kind] < 0) {
      rod_end.stock[kind].count -= left[kind];
      left[kind] = 0;
    }
  }
  return rod_end;
}

}  // namespace pivotfix
