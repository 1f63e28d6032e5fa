// SPDX-License-Identifier: Apache-2.0
// Side and plan view, to scale like the front view. From the side one looks at the wheel's outer face, from
// above ahead is up.
#include <algorithm>
#include <cmath>

#include "hardpoints/bars.h"
#include "page/label_places.h"
#include "page/numbers.h"
#include "report/pictures.h"

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;

// Two of them stand side by side: about as many units as pixels, so that the words can be read.
constexpr double picture_width = 240.0;
constexpr double most_height = 270.0;
constexpr double margin = 10.0;
constexpr double footer_height = 42.0;
constexpr double tyre_width_share = 0.62;  // of its radius: sketched, as in the front view

struct View {
  bool from_above = false;
  double outboard_sign = 1.0;

  Point operator()(const Eigen::Vector3d& vehicle_mm) const {
    if (from_above) return {-vehicle_mm.y(), vehicle_mm.x()};
    return {-outboard_sign * vehicle_mm.x(), vehicle_mm.z()};
  }
};

std::vector<Point> wheel_outline(const View& view, const Eigen::Vector3d& centre) {
  const double radius_mm = std::max(centre.z(), 100.0);
  const double half_width_mm = 0.5 * tyre_width_share * radius_mm;
  const Point middle = view(centre);
  std::vector<Point> outline;
  if (view.from_above) {
    for (const auto& [a, b] : {std::pair{-1.0, -1.0}, {1.0, -1.0}, {1.0, 1.0}, {-1.0, 1.0}})
      outline.push_back(middle + Point(a * half_width_mm, b * radius_mm));
    return outline;
  }
  for (int i = 0; i < 48; ++i) {
    const double angle_rad = rad_from_deg(i * 7.5);
    outline.push_back(middle + radius_mm * Point(std::cos(angle_rad), std::sin(angle_rad)));
  }
  return outline;
}

Box box_of(const ReportInput& input, const View& view, const std::vector<Point>& wheel) {
  const Point& first = wheel.front();
  Box box{first.x(), first.x(), first.y(), first.y()};
  for (const Point& point : wheel) box.include(point);
  for (const Hardpoint& point : input.hardpoints.points) box.include(view(point.position_vehicle_mm));
  return box.grown(12.0);
}

void draw_bars(Picture& picture, const HardpointSet& set, const View& view, const Mapping& map) {
  for (const Bar& bar : bars_of(set))
    picture.line(map(view(set.points[bar.from].position_vehicle_mm)),
                 map(view(set.points[bar.to].position_vehicle_mm)),
                 std::string_view(bar.kind) == "link" ? "now" : bar.kind);
}

// Each part once, on top of the lines and clear of them.
void draw_names(Picture& picture, const HardpointSet& set, const View& view, const Mapping& map,
                LabelPlaces places) {
  const std::vector<Bar> bars = bars_of(set);
  const auto end_of = [&](std::size_t point) { return map(view(set.points[point].position_vehicle_mm)); };
  for (const Bar& bar : bars) places.avoid(end_of(bar.from), end_of(bar.to));
  for (std::size_t i = 0; i < set.points.size(); ++i) places.avoid_around(end_of(i));
  std::vector<std::string> named;
  for (const Bar& bar : bars) {
    if (bar.words.empty() || std::find(named.begin(), named.end(), bar.words) != named.end()) continue;
    named.push_back(bar.words);
    std::vector<LabelPlace> wishes;
    for (const Bar& other : bars) {
      if (other.words != bar.words) continue;
      const auto more = beside(end_of(other.from), end_of(other.to));
      wishes.insert(wishes.end(), more.begin(), more.end());
    }
    const LabelPlace place = places.best(wishes, bar.words);
    picture.text(place.at, place.anchor, bar.words);
  }
}

void draw_footer(Picture& picture, const View& view, double scale, double height) {
  const double y = height - 14.0;
  draw_scale_bar(picture, {margin, y}, scale);
  const bool ahead_left = view.outboard_sign > 0;
  picture.text(
      {picture_width - margin, y + 4}, Anchor::end,
      view.from_above ? "\xE2\x86\x91 ahead" : (ahead_left ? "\xE2\x86\x90 ahead" : "ahead \xE2\x86\x92"),
      "strong");
}

Markup view_picture(const ReportInput& input, const View& view, const char* id, const char* title) {
  const HardpointSet& set = input.hardpoints;
  if (!front_view_points(input)) return {};
  const std::vector<Point> wheel = wheel_outline(view, set.position_vehicle_mm("wheel_centre"));
  const Box box = box_of(input, view, wheel);
  const double scale = std::min((picture_width - 2 * margin) / box.width(),
                                (most_height - footer_height - margin) / box.height());
  const double used_width = scale * box.width();
  const double height = margin + scale * box.height() + footer_height;
  const Mapping map(box, 0.5 * (picture_width - used_width), margin, used_width, scale * box.height());
  Picture picture(id, picture_width, height, title,
                  "Arms, steering link and joints to scale; the rod end now and after the change. The "
                  "hardpoint table has the coordinates.");
  std::vector<Point> outline;
  for (const Point& point : wheel) outline.push_back(map(point));
  picture.polygon(outline, "tyre");
  if (!view.from_above) picture.line(map(box.left, 0.0), map(box.right, 0.0), "ground");
  draw_bars(picture, set, view, map);
  for (const Hardpoint& point : set.points)
    picture.circle(map(view(point.position_vehicle_mm)), 3.5,
                   point.name == "link_outer_joint" ? "joint-now" : "joint-of-view");
  const Eigen::Vector3d rod_end = set.position_vehicle_mm("link_outer_joint");
  in_each_plan(picture, plans_of(input), [&](const Plan& plan) {
    picture.circle(map(view(rod_end + plan.height_change_mm * input.rod_end.stud_axis_vehicle)), 4.0,
                   "joint-after");
  });
  LabelPlaces places(picture_width, margin + scale * box.height());
  for (std::size_t i = 0; i < outline.size(); ++i)
    places.avoid(outline[i], outline[(i + 1) % outline.size()]);
  draw_names(picture, set, view, map, places);
  draw_footer(picture, view, scale, height);
  return picture.markup();
}

}  // namespace

Markup side_view_picture(const ReportInput& input) {
  const double outboard = input.hardpoints.side == Side::left ? 1.0 : -1.0;
  return view_picture(input, {false, outboard}, "side-view", "Side view, drawn to scale");
}

Markup plan_view_picture(const ReportInput& input) {
  const double outboard = input.hardpoints.side == Side::left ? 1.0 : -1.0;
  return view_picture(input, {true, outboard}, "plan-view", "Plan view, drawn to scale");
}

}  // namespace pivotfix::report
