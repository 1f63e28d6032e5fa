// SPDX-License-Identifier: Apache-2.0
// Lines of equal value over a grid, by marching squares: each cell is cut where its edges, taken as straight,
// cross the level.
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "page/numbers.h"
#include "report/pictures.h"

namespace pivotfix::report {
namespace {

constexpr double panel_width = 440.0;
constexpr double panel_height = 400.0;
constexpr double frame_left = 62.0;
constexpr double frame_top = 44.0;
constexpr double frame_width = 360.0;
constexpr double frame_height = 300.0;
constexpr int most_levels = 9;

struct Panel {
  const Sweep& sweep;
  const Eigen::MatrixXd values;  // in the unit shown
  std::string heading{};
  double left = 0.0;  // in the picture
  LengthUnit unit = LengthUnit::millimetre;
};

std::string change_words(std::string name) {
  std::replace(name.begin(), name.end(), '-', ' ');
  std::replace(name.begin(), name.end(), '.', ' ');
  return name;
}

Mapping mapping_of(const Panel& panel) {
  const Sweep& sweep = panel.sweep;
  return {{sweep.across.from_mm, sweep.across.to_mm, sweep.up.from_mm, sweep.up.to_mm},
          panel.left + frame_left,
          frame_top,
          frame_width,
          frame_height};
}

using Segment = std::array<Eigen::Vector2d, 2>;

// Where the edge from a to b has the level; the values lie on both sides of it.
Eigen::Vector2d crossing(const Eigen::Vector3d& a, const Eigen::Vector3d& b, double level) {
  const double share = (level - a.z()) / (b.z() - a.z());
  return (a + share * (b - a)).head<2>();
}

// Corners in turn around the cell.
void cut_cell(const std::array<Eigen::Vector3d, 4>& corners, double level, std::vector<Segment>& segments) {
  std::vector<Eigen::Vector2d> cuts;
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector3d& a = corners[i];
    const Eigen::Vector3d& b = corners[(i + 1) % 4];
    if ((a.z() < level) != (b.z() < level)) cuts.push_back(crossing(a, b, level));
  }
  if (cuts.size() == 2) segments.push_back({cuts[0], cuts[1]});
  if (cuts.size() != 4) return;
  // A saddle: the middle decides which corners belong together.
  const double middle = 0.25 * (corners[0].z() + corners[1].z() + corners[2].z() + corners[3].z());
  const bool joined = (middle < level) == (corners[0].z() < level);
  segments.push_back(joined ? Segment{cuts[0], cuts[1]} : Segment{cuts[3], cuts[0]});
  segments.push_back(joined ? Segment{cuts[2], cuts[3]} : Segment{cuts[1], cuts[2]});
}

std::vector<Segment> level_line(const Panel& panel, double level) {
  const Sweep& sweep = panel.sweep;
  const auto at = [&](Eigen::Index row, Eigen::Index column) {
    return Eigen::Vector3d(sweep.across_mm[static_cast<std::size_t>(column)],
                           sweep.up_mm[static_cast<std::size_t>(row)], panel.values(row, column));
  };
  std::vector<Segment> segments;
  for (Eigen::Index row = 0; row + 1 < panel.values.rows(); ++row)
    for (Eigen::Index column = 0; column + 1 < panel.values.cols(); ++column) {
      const std::array<Eigen::Vector3d, 4> corners{at(row, column), at(row, column + 1),
                                                   at(row + 1, column + 1), at(row + 1, column)};
      const bool known = std::all_of(corners.begin(), corners.end(),
                                     [](const Eigen::Vector3d& corner) { return corner.allFinite(); });
      if (known) cut_cell(corners, level, segments);
    }
  return segments;
}

void draw_axes(Picture& picture, const Panel& panel, const Mapping& map) {
  const Sweep& sweep = panel.sweep;
  const double per_unit = mm_per(panel.unit);
  const std::string unit = ", " + std::string(name_of(panel.unit));
  picture.rectangle(panel.left + frame_left, frame_top, frame_width, frame_height, "frame");
  const auto ticks = [&](const SweepAxis& axis, auto draw) {
    const double step = round_step((axis.to_mm - axis.from_mm) / per_unit, 8);
    const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
    for (int i = static_cast<int>(std::ceil(axis.from_mm / per_unit / step - 1e-9));
         i * step * per_unit <= axis.to_mm + 1e-9; ++i)
      draw(i * step * per_unit, with_minus(format_fixed(i * step, decimals)));
  };
  ticks(sweep.across, [&](double at_mm, const std::string& text) {
    const Eigen::Vector2d foot = map(at_mm, sweep.up.from_mm);
    picture.line(foot, foot + Eigen::Vector2d(0, 5), "axis");
    picture.text(foot + Eigen::Vector2d(0, 18), Anchor::middle, text, "tick");
  });
  ticks(sweep.up, [&](double at_mm, const std::string& text) {
    const Eigen::Vector2d foot = map(sweep.across.from_mm, at_mm);
    picture.line(foot, foot - Eigen::Vector2d(5, 0), "axis");
    picture.text(foot + Eigen::Vector2d(-8, 4), Anchor::end, text, "tick");
  });
  picture.text({panel.left + frame_left + 0.5 * frame_width, frame_top + frame_height + 38}, Anchor::middle,
               change_words(sweep.across.name) + unit, "strong");
  picture.text({panel.left + 4, frame_top - 10}, Anchor::start, change_words(sweep.up.name) + unit, "strong");
  picture.text({panel.left + frame_left + 0.5 * frame_width, 16}, Anchor::middle, panel.heading, "heading");
}

void draw_level(Picture& picture, const Panel& panel, const Mapping& map, double level,
                const std::string& label, double label_share) {
  const std::vector<Segment> segments = level_line(panel, level);
  if (segments.empty()) return;
  for (const Segment& segment : segments)
    picture.line(map(segment[0]), map(segment[1]), std::abs(level) < 1e-9 ? "contour-zero" : "contour");
  // Labels of neighbouring lines at different places, so that they keep clear of each other.
  const std::size_t at = std::min(
      segments.size() - 1, static_cast<std::size_t>(label_share * static_cast<double>(segments.size())));
  picture.text(map(0.5 * (segments[at][0] + segments[at][1])) + Eigen::Vector2d(0, 4), Anchor::middle, label,
               "tick");
}

void draw_panel(Picture& picture, const Panel& panel) {
  const Mapping map = mapping_of(panel);
  draw_axes(picture, panel, map);
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const double value : panel.values.reshaped()) {
    if (!std::isfinite(value)) continue;
    low = std::min(low, value);
    high = std::max(high, value);
  }
  if (low < high) {
    const double step = round_step(high - low, most_levels);
    const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
    int number = 0;
    for (int i = static_cast<int>(std::ceil(low / step)); i * step <= high; ++i)
      draw_level(picture, panel, map, i * step, with_minus(format_fixed(i * step, decimals)),
                 0.3 + 0.2 * (number++ % 3));
  }
  const Sweep& sweep = panel.sweep;
  if (sweep.across.from_mm <= 0.0 && sweep.across.to_mm >= 0.0 && sweep.up.from_mm <= 0.0 &&
      sweep.up.to_mm >= 0.0)
    picture.circle(map(0.0, 0.0), 5, "joint-now");
}

Picture empty_picture(const Sweep& sweep) {
  return {
      "contours", 2.0 * panel_width, panel_height, "What two changes do together",
      "Lines of equal best rod-end height on the left and of equal largest toe change on the right, over " +
          change_words(sweep.across.name) + " and " + change_words(sweep.up.name) + "."};
}

void draw_panels(Picture& picture, const Sweep& sweep, LengthUnit unit) {
  draw_panel(picture,
             {sweep, sweep.best_height_change_mm / mm_per(unit),
              "best rod-end height, " + std::string(name_of(unit)) + " against now, up positive", 0.0, unit});
  draw_panel(picture,
             {sweep, sweep.largest_change_rad.unaryExpr([](double toe) { return deg_from_rad(toe); }),
              "largest toe change with today's spacers, degrees", panel_width, unit});
}

}  // namespace

Markup contour_picture(const Sweep& sweep) {
  Picture picture = empty_picture(sweep);
  picture.in_each_unit([&](LengthUnit unit) { draw_panels(picture, sweep, unit); });
  return picture.markup();
}

}  // namespace pivotfix::report

namespace pivotfix {

// A file of its own has no switch.
std::string contour_svg(const Sweep& sweep, LengthUnit unit) {
  report::Picture picture = report::empty_picture(sweep);
  report::draw_panels(picture, sweep, unit);
  return report::svg_file(picture.markup());
}

}  // namespace pivotfix
