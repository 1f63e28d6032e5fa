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
  Spacer spacer{thickness.length_between_mm(0.0, thickest_mm), 1, thickness.text_as_written()};
  if (const auto count = table.find("count")) {
    spacer.count = count->whole_number();
    if (spacer.count < 1 || spacer.count > 50)
      count->fail("\"count\" is " + std::to_string(spacer.count) + ", but may be 1 to 50.", "");
  }
  return spacer;
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
  if (const auto between = table.find("between_now"))
    for (const TomlValue& thickness : between->list())
      rod_end.between_now.push_back(
          {thickness.length_between_mm(0.0, thickest_mm), 1, thickness.text_as_written()});
  if (const auto spacers = table.find("spacers"))
    for (const TomlTable& spacer :
         spacers->tables("rod_end.spacers", "spacers = [{ thickness = \"0.200 in\", count = 1 }]"))
      rod_end.stock.push_back(read_spacer(spacer));
  rod_end = with_spacers_on_car(rod_end);
}

RodEnd with_spacers_on_car(RodEnd rod_end) {
  std::vector<int> left;  // of each kind in stock, after those on the car are taken out
  for (const Spacer& spacer : rod_end.stock) left.push_back(spacer.count);
  for (const Spacer& on_car : rod_end.between_now) {
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
