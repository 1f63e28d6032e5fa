// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "page/numbers.h"
#include "page/svg.h"
#include "report/figure_tables.h"
#include "report/figures_section.h"

namespace pivotfix::report {
namespace {

constexpr int panels_across = 3;
constexpr double panel_width = 290.0;
constexpr double panel_height = 230.0;
constexpr double frame_left = 48.0;
constexpr double frame_top = 34.0;
constexpr double frame_width = 226.0;
constexpr double frame_height = 160.0;

struct Panel {
  const char* heading;
  FigureColumn column;
};

constexpr Panel panels[] = {
    {"camber, degrees", {"", "", Figure::camber, Shown::degrees}},
    {"caster, degrees", {"", "", Figure::caster, Shown::degrees}},
    {"change of track", {"", "", Figure::contact_outward, Shown::twice_length}},
    {"scrub radius", {"", "", Figure::scrub_radius, Shown::length}},
    {"trail", {"", "", Figure::trail, Shown::length}},
    {"height of the roll centre", {"", "", Figure::roll_centre_height, Shown::length}}};

// Value across, travel upwards, both as shown.
std::vector<Eigen::Vector2d> points_of(const FigureCurve& curve, const FigureColumn& column,
                                       LengthUnit unit) {
  const double unit_mm = mm_per(unit);
  std::vector<Eigen::Vector2d> points;
  for (const FiguresAt& at : curve.states) {
    const double value = shown_value(at, column, 0.0, unit);
    if (std::isfinite(value)) points.emplace_back(value, at.travel_mm / unit_mm);
  }
  return points;
}

// A curve that hardly changes shall look like one.
Box world_of(const std::vector<Eigen::Vector2d>& points, double least_width) {
  Box world{points[0].x(), points[0].x(), points[0].y(), points[0].y()};
  for (const Eigen::Vector2d& point : points) world.include(point);
  const double spare = std::max(0.06 * world.width(), 0.5 * (least_width - world.width()));
  return {world.left - spare, world.right + spare, world.bottom, world.top};
}

int decimals_for(double step) {
  return std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
}

void draw_axes(Picture& picture, const Box& world, const Mapping& map) {
  const double across = round_step(world.width(), 5);
  for (int i = static_cast<int>(std::ceil(world.left / across)); i * across <= world.right; ++i) {
    const Eigen::Vector2d foot = map(i * across, world.bottom);
    picture.line(foot, map(i * across, world.top), "grid");
    picture.text(foot + Eigen::Vector2d(0, 16), Anchor::middle,
                 with_minus(format_fixed(i * across, decimals_for(across))), "tick");
  }
  const double up = round_step(world.height(), 6);
  for (int i = static_cast<int>(std::ceil(world.bottom / up)); i * up <= world.top + 1e-9; ++i) {
    const Eigen::Vector2d left = map(world.left, i * up);
    picture.line(left, map(world.right, i * up), i == 0 ? "axis" : "grid");
    picture.text(left + Eigen::Vector2d(-6, 4.5), Anchor::end,
                 i == 0 ? "ride" : with_minus(format_fixed(i * up, decimals_for(up))), "tick");
  }
}

void draw_panel(Picture& picture, const Panel& panel, const FigureCurve& curve, LengthUnit unit, double left,
                double top) {
  const bool length = panel.column.shown != Shown::degrees;
  picture.text({left + frame_left, top + 14}, Anchor::start,
               panel.heading + (length ? ", " + std::string(name_of(unit)) : std::string()), "strong");
  picture.text({left + 4, top + frame_top - 5}, Anchor::start, travel_head(unit), "small");
  const std::vector<Eigen::Vector2d> points = points_of(curve, panel.column, unit);
  picture.rectangle(left + frame_left, top + frame_top, frame_width, frame_height, "frame");
  if (points.size() < 2) return;
  constexpr double least_width_mm = 1.0, least_width_deg = 0.1;
  const Box world = world_of(points, length ? least_width_mm / mm_per(unit) : least_width_deg);
  const Mapping map(world, left + frame_left, top + frame_top, frame_width, frame_height);
  draw_axes(picture, world, map);
  std::vector<Eigen::Vector2d> line;
  for (const Eigen::Vector2d& point : points) line.push_back(map(point));
  picture.polyline(line, "now");
}

}  // namespace

Markup figures_picture(const CornerFigures& figures) {
  const FigureCurve& curve = figures.straight_ahead;
  if (curve.states.size() < 2) return {};
  const int count = static_cast<int>(std::size(panels));
  const int rows = (count + panels_across - 1) / panels_across;
  Picture picture(
      "figures", panels_across * panel_width, panel_height * rows, "Figures over wheel travel",
      "Camber, caster, change of track, scrub radius, trail and height of the roll centre against "
      "wheel travel, as it is now. The tables below have the numbers.");
  picture.in_each_unit([&](LengthUnit unit) {
    for (int i = 0; i < count; ++i) {
      const int column = i % panels_across, row = i / panels_across;
      draw_panel(picture, panels[i], curve, unit, panel_width * column, panel_height * row);
    }
  });
  return picture.markup();
}

}  // namespace pivotfix::report
