// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "club_report/pool_words.h"
#include "page/numbers.h"
#include "page/svg.h"

namespace pivotfix::report {
namespace {

constexpr double picture_width = 440.0;
constexpr double cell_width = 132.0, cell_gap = 14.0, cell_left = 8.0;
constexpr double head_height = 40.0, name_height = 20.0, foot_height = 10.0, most_row_height = 8.0;

struct Drawing {
  const Pool& pool;
  std::vector<std::size_t> order{};
  double reach_mm = 1.0;  // from a cell's middle to its edge
  double row_height = 8.0;

  double cell_height() const { return row_height * static_cast<double>(order.size()) + 6.0; }
  double top(std::size_t point) const {
    return head_height + static_cast<double>(point) * (cell_height() + name_height + foot_height) +
           name_height;
  }
  double x(Eigen::Index coordinate, double off_mm) const {
    const double middle =
        cell_left + static_cast<double>(coordinate) * (cell_width + cell_gap) + 0.5 * cell_width;
    return middle + 0.5 * cell_width * std::clamp(off_mm / reach_mm, -1.0, 1.0);
  }
};

double reach_of(const Pool& pool) {
  double reach_mm = 0.01;
  for (const PooledPoint& point : pool.points) {
    reach_mm = std::max(reach_mm, point.scatter_mm);
    for (const CarOffset& car : point.cars)
      reach_mm = std::max(reach_mm, (car.off_mm.cwiseAbs() + car.sigma_mm).maxCoeff());
  }
  return 1.05 * reach_mm;
}

bool is_odd(const Pool& pool, const std::string& label) {
  return std::any_of(pool.odd.begin(), pool.odd.end(), [&](const OddCar& odd) { return odd.label == label; });
}

void draw_cell(Picture& picture, const Drawing& drawing, std::size_t index, Eigen::Index coordinate) {
  const PooledPoint& point = drawing.pool.points[index];
  const double top = drawing.top(index), height = drawing.cell_height();
  const double left = drawing.x(coordinate, -drawing.reach_mm);
  picture.rectangle(left, top, cell_width, height, "frame");
  if (point.scatter_mm > 0.0) {
    const double edge = drawing.x(coordinate, -point.scatter_mm);
    picture.rectangle(edge, top, drawing.x(coordinate, point.scatter_mm) - edge, height, "scatter-band");
  }
  picture.line({drawing.x(coordinate, 0.0), top}, {drawing.x(coordinate, 0.0), top + height}, "axis");
  for (std::size_t row = 0; row < drawing.order.size(); ++row) {
    const CarOffset& car = point.cars[drawing.order[row]];
    const bool odd = is_odd(drawing.pool, drawing.pool.members[drawing.order[row]].label);
    const double y = top + 3.0 + drawing.row_height * (static_cast<double>(row) + 0.5);
    const double off_mm = car.off_mm[coordinate], sigma_mm = car.sigma_mm[coordinate];
    picture.line({drawing.x(coordinate, off_mm - sigma_mm), y}, {drawing.x(coordinate, off_mm + sigma_mm), y},
                 odd ? "car-odd" : "car");
    picture.circle({drawing.x(coordinate, off_mm), y}, odd ? 3.2 : 2.2, odd ? "joint-now" : "car-mark");
  }
}

}  // namespace

Markup pool_picture(const PoolReport& input) {
  const Pool& pool = input.pool;
  Drawing drawing{pool, by_label(pool), reach_of(pool),
                  std::min(most_row_height, 160.0 / static_cast<double>(pool.members.size()))};
  const double height = drawing.top(pool.points.size()) - name_height;
  Picture picture("cars", picture_width, height, "Every car's pivots about the mean",
                  "For each pivot and coordinate the cars' offsets from the mean with their uncertainty. The "
                  "table below has mean and scatter.");
  const char* axes[] = {"x, forward", "y, to the left", "z, up"};
  for (Eigen::Index c = 0; c < 3; ++c)
    picture.text({drawing.x(c, 0.0), 14.0}, Anchor::middle, axes[c], "strong");
  picture.in_each_unit([&](LengthUnit unit) {
    for (Eigen::Index c = 0; c < 3; ++c)
      picture.text({drawing.x(c, 0.0), 30.0}, Anchor::middle,
                   "edges: \xC2\xB1" + format_length(drawing.reach_mm, unit, fine_decimals(unit)), "small");
  });
  for (std::size_t i = 0; i < pool.points.size(); ++i) {
    picture.text({cell_left, drawing.top(i) - 5.0}, Anchor::start,
                 spoken(pool.points[i].name) + (pool.points[i].differs ? ": differs from car to car" : ""));
    for (Eigen::Index c = 0; c < 3; ++c) draw_cell(picture, drawing, i, c);
  }
  return picture.markup();
}

}  // namespace pivotfix::report
