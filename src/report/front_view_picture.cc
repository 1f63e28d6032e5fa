// SPDX-License-Identifier: Apache-2.0
// Seen from ahead, the car's left is at the right hand of the viewer: the page's x is the vehicle's y, for
// both sides of the car.
#include <algorithm>
#include <cmath>

#include "page/label_places.h"
#include "page/numbers.h"
#include "report/pictures.h"

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;

constexpr double picture_width = 440.0;
constexpr double margin = 14.0;
constexpr double footer_height = 46.0;
constexpr double most_height = 520.0;
// An instant centre that would make the picture this much wider is shown by an arrow only.
constexpr double reach = 1.5;

// The tyre's section is not measured: sketched as wide as this share of its radius.
constexpr double tyre_width_share = 0.62;

struct Scene {
  const ReportInput& input;
  const FrontViewPoints& points;
  Box world{};
  bool instant_centre_in_picture = false;
};

std::vector<Point> upright_box(const Point& centre, double half_width, double half_height, double lean_rad) {
  const Eigen::Vector2d up(std::sin(lean_rad), std::cos(lean_rad));
  const Eigen::Vector2d across(up.y(), -up.x());
  std::vector<Point> corners;
  for (const auto& [a, u] : {std::pair{-1.0, -1.0}, {1.0, -1.0}, {1.0, 1.0}, {-1.0, 1.0}})
    corners.push_back(centre + a * half_width * across + u * half_height * up);
  return corners;
}

std::vector<Point> tyre(const Scene& scene) {
  const double radius_mm = std::max(scene.points.wheel_centre.y(), 100.0);
  return upright_box(scene.points.wheel_centre, 0.5 * tyre_width_share * radius_mm, radius_mm,
                     scene.points.outboard_sign * scene.input.hardpoints.wheel.camber_rad);
}

std::vector<Point> rim(const Scene& scene) {
  const double radius_mm = std::max(scene.points.wheel_centre.y(), 100.0);
  return upright_box(scene.points.wheel_centre, 0.45 * tyre_width_share * radius_mm,
                     0.5 * scene.input.hardpoints.wheel.rim_diameter_mm,
                     scene.points.outboard_sign * scene.input.hardpoints.wheel.camber_rad);
}

Scene scene_of(const ReportInput& input, const FrontViewPoints& points) {
  Scene scene{input, points};
  scene.world = {points.wheel_centre.x(), points.wheel_centre.x(), 0.0, points.wheel_centre.y()};
  for (const Point& point :
       {points.link_inner, points.rod_end_now, rod_end_at(input, plan_of(input.advice).height_change_mm)})
    scene.world.include(point);
  for (const auto* parts : {&points.lower_parts, &points.upper_parts})
    for (const FrontViewPoints::Part& part : *parts) {
      scene.world.include(part.inner);
      scene.world.include(part.outer);
    }
  for (const Point& point : tyre(scene)) scene.world.include(point);
  if (points.instant_centre) {
    Box wider = scene.world;
    wider.include(*points.instant_centre);
    if (wider.width() < reach * scene.world.width() && wider.height() < reach * scene.world.height()) {
      scene.world = wider;
      scene.instant_centre_in_picture = true;
    }
  }
  return scene;
}

// Where the ray from a point inside leaves the box; the ray's start when it does not move.
Point leaves(const Box& box, const Point& from, const Point& direction) {
  double t = 1e9;
  if (direction.x() > 1e-12) t = std::min(t, (box.right - from.x()) / direction.x());
  if (direction.x() < -1e-12) t = std::min(t, (box.left - from.x()) / direction.x());
  if (direction.y() > 1e-12) t = std::min(t, (box.top - from.y()) / direction.y());
  if (direction.y() < -1e-12) t = std::min(t, (box.bottom - from.y()) / direction.y());
  return t < 1e9 ? Point(from + std::max(t, 0.0) * direction) : from;
}

void draw_ground_and_wheel(Picture& picture, const Scene& scene, const Mapping& map, const Box& seen) {
  const auto mapped = [&](std::vector<Point> corners) {
    for (Point& corner : corners) corner = map(corner);
    return corners;
  };
  picture.polygon(mapped(tyre(scene)), "tyre");
  picture.polygon(mapped(rim(scene)), "rim");
  picture.line(map(seen.left, 0.0), map(seen.right, 0.0), "ground");
  picture.text(map(scene.points.wheel_centre.x(), 2 * scene.points.wheel_centre.y()) + Point(0, 15),
               Anchor::middle, "wheel", "small");
}

void draw_suspension(Picture& picture, const Scene& scene, const Mapping& map) {
  const FrontViewPoints& p = scene.points;
  const bool strut = has_strut(scene.input.hardpoints.layout);
  picture.polygon({map(p.lower_ball_joint), map(p.upper_outer), map(p.wheel_centre)}, "knuckle");
  picture.line(map(p.wheel_centre), map(p.rod_end_now), "knuckle");
  for (const FrontViewPoints::Part& part : p.lower_parts)
    picture.line(map(part.inner), map(part.outer), "arm");
  for (const FrontViewPoints::Part& part : p.upper_parts)
    picture.line(map(part.inner), map(part.outer), strut ? "strut" : "arm");
}

void draw_link_and_joints(Picture& picture, const Scene& scene, const Mapping& map) {
  const FrontViewPoints& p = scene.points;
  picture.line(map(p.link_inner), map(p.rod_end_now), "now");
  const Plans plans = plans_of(scene.input);
  in_each_plan(picture, plans, [&](const Plan& plan) {
    picture.line(map(p.link_inner), map(rod_end_at(scene.input, plan.height_change_mm)), "after");
  });
  for (const auto* parts : {&p.lower_parts, &p.upper_parts})
    for (const FrontViewPoints::Part& part : *parts)
      for (const Point& point : {part.inner, part.outer}) picture.circle(map(point), 3.5, "joint");
  for (const Point& point : {p.link_inner, p.wheel_centre}) picture.circle(map(point), 3.5, "joint");
  picture.circle(map(p.rod_end_now), 5.5, "joint-now");
  in_each_plan(picture, plans, [&](const Plan& plan) {
    picture.circle(map(rod_end_at(scene.input, plan.height_change_mm)), 4.0, "joint-after");
  });
}

// The two lines that meet in the instant centre, lightly.
void draw_construction(Picture& picture, const Scene& scene, const Mapping& map) {
  const FrontViewPoints& p = scene.points;
  if (!scene.instant_centre_in_picture) return;
  picture.line(map(p.arm_inner), map(*p.instant_centre), "construction");
  picture.line(map(p.upper_inner), map(*p.instant_centre), "construction");
}

void draw_line_to_instant_centre(Picture& picture, const Scene& scene, const Mapping& map, const Box& seen) {
  const FrontViewPoints& p = scene.points;
  const Point from = map(p.rod_end_now);
  if (!p.instant_centre) {
    const double angle_rad =
        scene.input.advice.front_view.link_angle_rad - scene.input.advice.front_view.effective_mismatch_rad;
    const Point inboard(-p.outboard_sign * std::cos(angle_rad), -std::sin(angle_rad));
    picture.arrow(from, map(leaves(seen, p.rod_end_now, inboard)), "centre-line");
    return;
  }
  if (scene.instant_centre_in_picture) {
    const Point centre = map(*p.instant_centre);
    picture.line(from, centre, "centre-line");
    picture.circle(centre, 6, "instant-centre");
    picture.circle(centre, 1.5, "instant-centre");
    const bool at_left = centre.x() < 0.5 * picture_width;
    picture.text(centre + Point(at_left ? -6 : 6, -12), at_left ? Anchor::start : Anchor::end,
                 "instant centre", "strong");
    return;
  }
  const Point edge = map(leaves(seen, p.rod_end_now, *p.instant_centre - p.rod_end_now));
  picture.arrow(from, edge, "centre-line");
}

// The effective mismatch where it is: at the rod end, between the link and the line to the instant centre.
void draw_mismatch(Picture& picture, const Scene& scene, const Mapping& map, LabelPlaces& places) {
  const FrontViewPoints& p = scene.points;
  const FrontView& view = scene.input.advice.front_view;
  const double link_rad = view.link_angle_rad;
  const double line_rad = link_rad - view.effective_mismatch_rad;
  if (!std::isfinite(line_rad)) return;
  const double radius_mm = 0.45 * (p.rod_end_now - p.link_inner).norm();
  std::vector<Point> arc;
  for (int i = 0; i <= 8; ++i) {
    const double angle_rad = std::lerp(line_rad, link_rad, i / 8.0);
    arc.push_back(
        map(p.rod_end_now - radius_mm * Point(p.outboard_sign * std::cos(angle_rad), std::sin(angle_rad))));
  }
  picture.polyline(arc, "angle-arc");
  const Point upper = arc.front().y() < arc.back().y() ? arc.front() : arc.back();
  const Point lower = arc.front().y() < arc.back().y() ? arc.back() : arc.front();
  std::vector<LabelPlace> wishes{{upper + Point(0, -8), Anchor::middle},
                                 {lower + Point(0, 17), Anchor::middle}};
  for (const double aside : {20.0, -20.0, 40.0, -40.0}) {
    wishes.push_back({upper + Point(aside, -8), Anchor::middle});
    wishes.push_back({lower + Point(aside, 17), Anchor::middle});
  }
  const std::string angle = angle_text({view.effective_mismatch_rad, 0.0}, 1);
  const LabelPlace place = places.best(wishes, angle);
  picture.text(place.at, place.anchor, angle, "strong");
}

// All lines of the picture.
LabelPlaces lines_to_avoid(const Scene& scene, const Mapping& map, double picture_height) {
  const FrontViewPoints& p = scene.points;
  LabelPlaces places(picture_width, picture_height);
  for (const auto* parts : {&p.lower_parts, &p.upper_parts})
    for (const FrontViewPoints::Part& part : *parts) {
      places.avoid(map(part.inner), map(part.outer));
      for (const Point& point : {part.inner, part.outer}) places.avoid_around(map(point));
    }
  for (const Point& point : {p.link_inner, p.rod_end_now, p.wheel_centre}) places.avoid_around(map(point));
  const Point rod_end_after = rod_end_at(scene.input, plan_of(scene.input.advice).height_change_mm);
  for (const auto& [from, to] : {std::pair{p.link_inner, p.rod_end_now},
                                 {p.link_inner, rod_end_after},
                                 {p.lower_ball_joint, p.upper_outer},
                                 {p.upper_outer, p.wheel_centre},
                                 {p.wheel_centre, p.lower_ball_joint},
                                 {p.wheel_centre, p.rod_end_now}})
    places.avoid(map(from), map(to));
  if (p.instant_centre) places.avoid(map(p.rod_end_now), map(*p.instant_centre));
  if (scene.instant_centre_in_picture)
    for (const Point& from : {p.arm_inner, p.upper_inner}) places.avoid(map(from), map(*p.instant_centre));
  return places;
}

void draw_names(Picture& picture, const Scene& scene, const Mapping& map, LabelPlaces& places) {
  const FrontViewPoints& p = scene.points;
  const Layout layout = scene.input.hardpoints.layout;
  const auto name = [&](const Point& from, const Point& to, const std::string& words) {
    const LabelPlace place = places.best(beside(map(from), map(to)), words);
    picture.text(place.at, place.anchor, words);
  };
  name(p.link_inner, p.rod_end_now, "steering link");
  name(p.arm_inner, p.lower_ball_joint, has_lower_links(layout) ? "lower links" : "lower arm");
  name(p.upper_inner, p.upper_outer,
       has_strut(layout) ? "strut" : (has_upper_links(layout) ? "upper links" : "upper arm"));
}

// What the arrow stands for, in a line of its own under the picture's top edge.
std::string far_centre_words(const Scene& scene, LengthUnit unit) {
  const FrontViewPoints& p = scene.points;
  if (!p.instant_centre) return "The arms are parallel: there is no instant centre.";
  if (scene.instant_centre_in_picture) return {};
  return "Instant centre: " +
         length_text((*p.instant_centre - p.rod_end_now).norm(), 0.0, unit,
                     unit == LengthUnit::inch ? -1 : 0) +
         " away along the dashed arrow";
}

void draw_footer(Picture& picture, const Scene& scene, double scale, double height) {
  const double y = height - 14;
  draw_scale_bar(picture, {margin, y}, scale);
  const bool outboard_right = scene.points.outboard_sign > 0;
  picture.text({picture_width - margin, y + 4}, Anchor::end,
               outboard_right ? "outboard \xE2\x86\x92" : "\xE2\x86\x90 outboard", "strong");
  picture.text({0.55 * picture_width, y + 4}, Anchor::middle,
               std::string(name_of(scene.input.hardpoints.side)) + " corner seen from ahead", "small");
}

}  // namespace

Markup front_view_picture(const ReportInput& input) {
  const auto points = front_view_points(input);
  if (!points) return {};
  const Scene scene = scene_of(input, *points);
  const Box world = scene.world.grown(12.0);
  const double frame_width = picture_width - 2 * margin;
  const double scale = std::min(frame_width / world.width(), (most_height - footer_height) / world.height());
  const double frame_height = scale * world.height();
  const std::string words = far_centre_words(scene, input.unit);
  const double top = words.empty() ? margin : margin + 20;
  const double height = top + frame_height + footer_height;
  const double used_width = scale * world.width();
  const double left = 0.5 * (picture_width - used_width);
  const Mapping map(world, left, top, used_width, frame_height);
  Box seen = world;  // the whole width of the picture, in the drawing's millimetres
  seen.left -= (left - 4) / scale;
  seen.right += (left - 4) / scale;

  Picture picture("front-view", picture_width, height,
                  "Front view of the " + std::string(name_of(input.hardpoints.side)) +
                      " corner, seen from ahead, drawn to scale",
                  "Steering link against lower arm: mismatch " + angle_text(input.advice.mismatch_rad, 2) +
                      "; against the line from the rod end to the instant centre " +
                      angle_text(input.advice.effective_mismatch_rad, 2) + ". The rod end " +
                      move_words(plan_of(input.advice).height_change_mm, 0.0, input.unit) + ", " +
                      plan_of(input.advice).name + ".");
  draw_ground_and_wheel(picture, scene, map, seen);
  draw_construction(picture, scene, map);
  draw_line_to_instant_centre(picture, scene, map, seen);
  draw_suspension(picture, scene, map);
  draw_link_and_joints(picture, scene, map);
  LabelPlaces places = lines_to_avoid(scene, map, top + frame_height);
  draw_mismatch(picture, scene, map, places);
  draw_names(picture, scene, map, places);
  if (!words.empty())
    picture.in_each_unit([&](LengthUnit unit) {
      picture.text({margin, 18}, Anchor::start, far_centre_words(scene, unit), "small");
    });
  draw_footer(picture, scene, scale, height);
  return picture.markup();
}

}  // namespace pivotfix::report
