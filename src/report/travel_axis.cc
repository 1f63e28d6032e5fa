// SPDX-License-Identifier: Apache-2.0
#include "report/travel_axis.h"

#include <algorithm>
#include <cmath>

#include "report/numbers.h"
#include "report/tables.h"

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

}  // namespace pivotfix::report
