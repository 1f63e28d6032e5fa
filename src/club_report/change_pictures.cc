// SPDX-License-Identifier: Apache-2.0
// Toe and camber over travel of both measurements.
#include <algorithm>
#include <cmath>

#include "club_report/comparison_pictures.h"
#include "page/numbers.h"
#include "page/travel_axis.h"

namespace pivotfix::report {
namespace {

constexpr double picture_width = 440.0, picture_height = 382.0;
constexpr Frame frame{58.0, 46.0, 368.0, 284.0};

// One angle's change since ride height, degrees, over travel, mm.
struct Line {
  std::vector<Eigen::Vector2d> points{};
  std::vector<double> sigma_deg{};
};

struct TwoLines {
  const char* id = "";
  const char* title = "";
  const char* left_words = "";  // what the axis' ends mean
  const char* right_words = "";
  Line before{}, after{};
};

Line line_of(const std::vector<double>& change_rad, const std::vector<double>& sigma_rad,
             const std::vector<double>& travel_mm) {
  Line line;
  for (std::size_t i = 0; i < std::min(change_rad.size(), travel_mm.size()); ++i) {
    line.points.emplace_back(deg_from_rad(change_rad[i]), travel_mm[i]);
    line.sigma_deg.push_back(i < sigma_rad.size() ? deg_from_rad(sigma_rad[i]) : 0.0);
  }
  return line;
}

Box world_of(const TwoLines& lines) {
  Box world{-0.02, 0.02, -10.0, 10.0};
  for (const Line* line : {&lines.before, &lines.after})
    for (std::size_t i = 0; i < line->points.size(); ++i) {
      const double across = std::abs(line->points[i].x()) + line->sigma_deg[i];
      world.include({across, line->points[i].y()});
      world.include({-across, line->points[i].y()});
    }
  world.left *= 1.08;
  world.right *= 1.08;
  return world;
}

void draw_band(Picture& picture, const Line& line, const Mapping& map, const std::string& css_class) {
  if (std::none_of(line.sigma_deg.begin(), line.sigma_deg.end(), [](double sigma) { return sigma > 0.0; }))
    return;
  std::vector<Eigen::Vector2d> outline;
  for (std::size_t i = 0; i < line.points.size(); ++i)
    outline.push_back(map(line.points[i].x() + line.sigma_deg[i], line.points[i].y()));
  for (std::size_t i = line.points.size(); i-- > 0;)
    outline.push_back(map(line.points[i].x() - line.sigma_deg[i], line.points[i].y()));
  picture.polygon(outline, css_class);
}

void draw_line(Picture& picture, const Line& line, const Mapping& map, const std::string& css_class) {
  std::vector<Eigen::Vector2d> points;
  for (const Eigen::Vector2d& point : line.points) points.push_back(map(point));
  picture.polyline(points, css_class);
}

Markup two_lines_picture(const TwoLines& lines) {
  if (lines.before.points.size() < 2) return {};
  const Box world = world_of(lines);
  const Mapping map(world, frame.left, frame.top, frame.width, frame.height);
  Picture picture(lines.id, picture_width, picture_height, lines.title,
                  lines.title + std::string(", both measurements. The table below has the numbers."));
  picture.rectangle(frame.left, frame.top, frame.width, frame.height, "frame");
  draw_angle_axis(picture, world, map, frame);
  picture.in_each_unit([&](LengthUnit unit) { draw_travel_axis(picture, world, map, frame, unit); });
  const double foot = frame.top + frame.height + 34;
  picture.text({frame.left + 22, foot}, Anchor::start, lines.left_words, "strong");
  picture.text({frame.left + 0.5 * frame.width, foot}, Anchor::middle, "degrees", "small");
  picture.text({frame.left + frame.width, foot}, Anchor::end, lines.right_words, "strong");
  draw_band(picture, lines.before, map, "band-now");
  draw_band(picture, lines.after, map, "band-after");
  draw_line(picture, lines.before, map, "now");
  draw_line(picture, lines.after, map, "after");
  return picture.markup();
}

}  // namespace

Markup toe_change_picture(const ComparisonReport& input) {
  if (!input.comparison.corner) return {};
  const ToeCurve &before = input.comparison.corner->toe_before, &after = input.comparison.corner->toe_after;
  return two_lines_picture({"toe-change", "Toe change over wheel travel", "\xE2\x86\x90 toe-out",
                            "toe-in \xE2\x86\x92",
                            line_of(before.toe_change_rad, before.toe_change_sigma_rad, before.travel_mm),
                            line_of(after.toe_change_rad, after.toe_change_sigma_rad, after.travel_mm)});
}

Markup camber_change_picture(const ComparisonReport& input) {
  if (!input.comparison.corner) return {};
  const CornerChange& corner = *input.comparison.corner;
  return two_lines_picture(
      {"camber-change", "Camber change over wheel travel", "\xE2\x86\x90 top inwards",
       "top outwards \xE2\x86\x92",
       line_of(corner.camber_before_rad, corner.camber_before_sigma_rad, corner.toe_before.travel_mm),
       line_of(corner.camber_after_rad, corner.camber_after_sigma_rad, corner.toe_after.travel_mm)});
}

}  // namespace pivotfix::report
