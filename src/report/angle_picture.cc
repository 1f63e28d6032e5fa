// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "page/numbers.h"
#include "report/pictures.h"

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;

constexpr double picture_width = 440.0;
constexpr double line_length = 215.0;
constexpr double most_offset = 62.0;

// A line through the rod end; angles against the line to the instant centre, rising outboard positive.
struct Ray {
  double angle_rad = 0.0;
  std::string css_class{};
  std::string label{};
};

double rising_outboard_rad(const Point& from, const Point& to, double outboard_sign) {
  const Point along = to - from;
  return std::atan2(along.y(), outboard_sign * along.x());
}

// Link minus line to the instant centre once the rod end of the hardpoints as measured has moved.
std::optional<double> effective_mismatch_at(const ReportInput& input, double height_change_mm) {
  const auto p = front_view_points(input);
  if (!p) return std::nullopt;
  const Point rod_end = rod_end_at(input, height_change_mm);
  const double link_rad = rising_outboard_rad(p->link_inner, rod_end, p->outboard_sign);
  double ideal_rad = input.advice.front_view.arm_angle_rad;
  if (p->instant_centre) {
    const Point to_centre = *p->instant_centre - rod_end;
    if (std::abs(to_centre.x()) < 1.0) return std::nullopt;
    ideal_rad = std::atan(p->outboard_sign * to_centre.y() / to_centre.x());
  }
  return link_rad - ideal_rad;
}

std::vector<Ray> rays_of(const ReportInput& input, const Plan& plan) {
  const Advice& advice = input.advice;
  const double now_rad = advice.effective_mismatch_rad.value;
  std::vector<Ray> rays{
      {0.0, "centre-line", "to the instant centre"},
      {now_rad - advice.mismatch_rad.value, "arm-direction", "along the lower arm"},
      {now_rad, "now", "link now: " + with_minus(angle_text(advice.effective_mismatch_rad, 2))}};
  const auto zero_rad = effective_mismatch_at(input, 0.0);
  const auto moved_rad = effective_mismatch_at(input, plan.height_change_mm);
  if (!zero_rad || !moved_rad) return rays;
  // The advice's angle rests on hardpoints that toe readings may have changed: only the move is added to it.
  const double after_rad = now_rad + (*moved_rad - *zero_rad);
  rays.push_back({after_rad, "after",
                  "link after: " + with_minus(format_fixed(deg_from_rad(after_rad), 2)) + "\xC2\xB0"});
  return rays;
}

double opening_of(const std::vector<Ray>& rays) {
  double largest_rad = 1e-4;
  for (const Ray& ray : rays) largest_rad = std::max(largest_rad, std::abs(ray.angle_rad));
  const double wish = most_offset / (line_length * std::tan(std::min(largest_rad, 1.2)));
  for (double factor : {50.0, 20.0, 10.0, 5.0, 3.0, 2.0})
    if (factor <= wish) return factor;
  return std::min(wish, 1.0);
}

// As drawn; none when an angle is not known.
std::vector<Ray> rays_shown(const ReportInput& input, const Plan& plan) {
  std::vector<Ray> rays = rays_of(input, plan);
  for (const Ray& ray : rays)
    if (!std::isfinite(ray.angle_rad)) return {};
  if (input.advice.front_view.arms_parallel) {
    rays.erase(rays.begin());
    rays.front().label = "along the arms";
  }
  return rays;
}

struct Frame {
  double opening = 1.0;
  double outboard = 1.0;  // +1 where the rod end is at the right hand
  double height = 0.0;
  Point rod_end = Point::Zero();

  // Inboard of the rod end a line that rises outboard lies lower, and the page's y runs downwards.
  Point inboard(const Ray& ray, double length) const {
    return rod_end + Point(-outboard * length, length * std::tan(ray.angle_rad) * opening);
  }
};

// Large enough for these rays; those of another plan may run out of it.
Frame frame_of(const ReportInput& input, const std::vector<Ray>& rays) {
  Frame frame;
  frame.opening = opening_of(rays);
  frame.outboard = input.hardpoints.side == Side::left ? 1.0 : -1.0;
  double highest = 0.0;  // of the lines' ends over the rod end, on the page
  double lowest = 0.0;
  for (const Ray& ray : rays) {
    const double drop = line_length * std::tan(ray.angle_rad) * frame.opening;
    highest = std::max(highest, -drop);
    lowest = std::max(lowest, drop);
  }
  const double middle_y = std::max(highest + 24.0, 38.0);
  frame.height = middle_y + std::max(lowest, 8.0) + 48.0;
  const double margin = 22.0;
  frame.rod_end = Point(frame.outboard > 0 ? picture_width - margin : margin, middle_y);
  return frame;
}

// What runs out of the picture is cut at its edge and named there.
void draw_rays(Picture& picture, const Frame& frame, const std::vector<Ray>& rays) {
  const double highest = 12.0;
  const double lowest = frame.height - 34.0;
  std::vector<double> wanted;
  std::vector<Point> ends;
  for (const Ray& ray : rays) {
    const double y = frame.inboard(ray, line_length).y();
    const double seen = std::clamp(y, highest, lowest);
    const double share = y == seen ? 1.0 : (seen - frame.rod_end.y()) / (y - frame.rod_end.y());
    ends.push_back(frame.inboard(ray, share * line_length));
    wanted.push_back(seen);
  }
  const std::vector<double> heights = spread(wanted, 16.0);
  for (std::size_t i = 0; i < rays.size(); ++i) {
    picture.line(frame.rod_end, ends[i], rays[i].css_class);
    const Point label(frame.rod_end.x() - frame.outboard * (line_length + 20), heights[i]);
    picture.line(ends[i], label + Point(frame.outboard * 4, 0), "leader");
    picture.text(label + Point(0, 4.5), frame.outboard > 0 ? Anchor::end : Anchor::start, rays[i].label);
  }
}

}  // namespace

Markup angle_picture(const ReportInput& input) {
  const Plans plans = plans_of(input);
  const std::vector<Ray> rays = rays_shown(input, plans.plans[plans.suggested]);
  if (rays.empty()) return {};
  const Frame frame = frame_of(input, rays);
  Picture picture("angles", picture_width, frame.height, "Angles at the rod end",
                  "Steering link against the line to the instant centre: now " +
                      angle_text(input.advice.effective_mismatch_rad, 2) +
                      "; against the lower arm: " + angle_text(input.advice.mismatch_rad, 2) + ". Drawn " +
                      format_fixed(frame.opening, 0) + " times as large.");
  in_each_plan(picture, plans, [&](const Plan& plan) { draw_rays(picture, frame, rays_shown(input, plan)); });
  std::vector<Point> arc;
  const Ray& reference = rays.front();
  for (int i = 0; i <= 12; ++i) {
    Ray between = reference;
    between.angle_rad += i / 12.0 * (input.advice.effective_mismatch_rad.value - reference.angle_rad);
    arc.push_back(frame.inboard(between, 0.75 * line_length));
  }
  picture.polyline(arc, "angle-arc");
  picture.circle(frame.rod_end, 5.5, "joint-now");
  picture.text(frame.rod_end + Point(frame.outboard * 12, -14),
               frame.outboard > 0 ? Anchor::end : Anchor::start, "rod end", "strong");
  picture.text({0.5 * picture_width, frame.height - 8}, Anchor::middle,
               "angles drawn " + format_fixed(frame.opening, frame.opening < 1.0 ? 1 : 0) +
                   " times as large; " +
                   (frame.outboard > 0 ? "outboard \xE2\x86\x92" : "\xE2\x86\x90 outboard"),
               "small");
  return picture.markup();
}

}  // namespace pivotfix::report
