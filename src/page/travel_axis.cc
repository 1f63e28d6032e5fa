// SPDX-License-Identifier: Apache-2.0
#include "page/travel_axis.h"

#include <algorithm>
#include <cmath>

#include "page/numbers.h"

namespace pivotfix::report {
void draw_travel_axis(Picture& picture, const Box& world, const Mapping& map, const Frame& frame,
                      LengthUnit unit) {
  const double unit_mm = mm_per(unit);
  const double step = round_step(world.height() / unit_mm, 10);
  for (double tick = std::ceil(world.bottom / unit_mm / step - 1e-9) * step;
       tick * unit_mm <= world.top + 1e-9; tick += step) {
    const Eigen::Vector2d left = map(world.left, tick * unit_mm);
    picture.line(left, map(world.right, tick * unit_mm), std::abs(tick) < 1e-9 ? "axis" : "grid");
    const std::string number = format_fixed(tick, step < 1.0 - 1e-9 ? 1 : 0);
    picture.text(left + Eigen::Vector2d(-6, 4.5), Anchor::end,
                 std::abs(tick) < 1e-9 ? "ride" : with_minus(number), "tick");
  }
  picture.text({4, frame.top - 30}, Anchor::start, travel_head(unit), "small");
  picture.text({4, frame.top - 14}, Anchor::start, "bump \xE2\x86\x91", "strong");
  picture.text({4, frame.top + frame.height + 34}, Anchor::start, "droop \xE2\x86\x93", "strong");
}

void draw_angle_axis(Picture& picture, const Box& world, const Mapping& map, const Frame& frame) {
  const double bottom = frame.top + frame.height;
  const double step = round_step(world.width(), 8);
  const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
  for (int i = static_cast<int>(std::ceil(world.left / step)); i * step <= world.right; ++i) {
    const Eigen::Vector2d foot = map(i * step, world.bottom);
    picture.line({foot.x(), frame.top}, {foot.x(), bottom}, i == 0 ? "axis" : "grid");
    picture.text({foot.x(), bottom + 16}, Anchor::middle, with_minus(format_fixed(i * step, decimals)),
                 "tick");
  }
}

std::vector<double> tabled_travel_mm(double lowest_mm, double highest_mm, LengthUnit unit) {
  double step_mm = unit == LengthUnit::millimetre ? 10.0 : 0.5 * mm_per_inch;
  while ((highest_mm - lowest_mm) / step_mm > 12.0) step_mm *= 2.0;
  const double inches_mm = (highest_mm - lowest_mm) / mm_per_inch > 8.0 ? step_mm : mm_per_inch;
  std::vector<double> travels{lowest_mm, highest_mm};
  for (double step : {step_mm, inches_mm})
    for (int i = static_cast<int>(std::ceil(lowest_mm / step)); i * step <= highest_mm; ++i)
      travels.push_back(i * step);
  std::sort(travels.rbegin(), travels.rend());
  const auto same = [](double a, double b) { return std::abs(a - b) < 1e-6; };
  travels.erase(std::unique(travels.begin(), travels.end(), same), travels.end());
  return travels;
}

std::string travel_text(double travel_mm, LengthUnit unit) {
  const double inches = travel_mm / mm_per_inch;
  const bool whole_inch = std::abs(inches - std::round(inches)) < 1e-6 && std::abs(inches) > 0.5;
  const std::string sign = travel_mm > 0.0 ? "+" : "";
  if (std::abs(travel_mm) < 1e-9) return "ride";
  if (unit != LengthUnit::millimetre)
    return sign + format_fixed(travel_mm / mm_per(unit), unit == LengthUnit::inch ? 2 : 0);
  const bool whole = std::abs(travel_mm - std::round(travel_mm)) < 1e-6;
  return sign + format_fixed(travel_mm, whole ? 0 : 1) +
         (whole_inch ? " (" + format_fixed(inches, 0) + " in)" : "");
}

}  // namespace pivotfix::report
