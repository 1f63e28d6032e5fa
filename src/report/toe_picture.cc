// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "page/numbers.h"
#include "page/travel_axis.h"
#include "report/pictures.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

constexpr double picture_width = 440.0;
constexpr double picture_height = 400.0;
constexpr double frame_left = 58.0;
constexpr double frame_top = 58.0;
constexpr double frame_width = 368.0;
constexpr double frame_height = 292.0;
constexpr Frame frame{frame_left, frame_top, frame_width, frame_height};

struct Line {
  const ToeCurve* curve;
  const char* css_class;
};

bool drawable(const ToeCurve& curve) {
  return curve.travel_mm.size() > 1 && curve.toe_change_rad.size() == curve.travel_mm.size();
}

bool has_sigma(const ToeCurve& curve) {
  return curve.toe_change_sigma_rad.size() == curve.travel_mm.size() &&
         std::any_of(curve.toe_change_sigma_rad.begin(), curve.toe_change_sigma_rad.end(),
                     [](double sigma) { return std::isfinite(sigma) && sigma > 0.0; });
}

double largest_deg(const ToeCurve& curve) {
  double largest = 0.0;
  for (std::size_t i = 0; i < curve.toe_change_rad.size(); ++i) {
    const double sigma = has_sigma(curve) ? curve.toe_change_sigma_rad[i] : 0.0;
    const double reach = std::abs(curve.toe_change_rad[i]) + sigma;
    if (std::isfinite(reach)) largest = std::max(largest, deg_from_rad(reach));
  }
  return largest;
}

// As it is and as it will be decide the scale; the rule of thumb may run out of the picture.
Box world_of(const ReportInput& input, const Plan& plan) {
  const Advice& advice = input.advice;
  const double judged = std::max({largest_deg(advice.now), largest_deg(plan.curve), 0.02});
  const double across = 1.08 * std::max(judged, std::min(1.5 * judged, largest_deg(advice.parallel_link)));
  double droop_mm = -10.0;
  double bump_mm = 10.0;
  for (const ToeCurve* curve : {&advice.now, &plan.curve, &advice.best})
    for (double travel_mm : curve->travel_mm) {
      droop_mm = std::min(droop_mm, travel_mm);
      bump_mm = std::max(bump_mm, travel_mm);
    }
  return {-across, across, droop_mm, bump_mm};
}

Eigen::Vector2d at(const ToeCurve& curve, std::size_t i, double sigmas) {
  const double sigma = sigmas == 0.0 ? 0.0 : sigmas * curve.toe_change_sigma_rad[i];
  return {deg_from_rad(curve.toe_change_rad[i] + sigma), curve.travel_mm[i]};
}

bool inside(const Box& world, const Eigen::Vector2d& point) {
  return std::abs(point.x()) <= world.right;
}

// Only the run through ride height that stays in the picture.
std::vector<Eigen::Vector2d> visible(const ToeCurve& curve, const Box& world, const Mapping& map) {
  std::vector<Eigen::Vector2d> points;
  for (std::size_t i = 0; i < curve.travel_mm.size(); ++i) {
    const Eigen::Vector2d point = at(curve, i, 0.0);
    if (inside(world, point)) points.push_back(map(point));
  }
  return points;
}

void draw_band(Picture& picture, const ToeCurve& curve, const Mapping& map, const std::string& css_class) {
  if (!has_sigma(curve)) return;
  std::vector<Eigen::Vector2d> outline;
  for (std::size_t i = 0; i < curve.travel_mm.size(); ++i) outline.push_back(map(at(curve, i, 1.0)));
  for (std::size_t i = curve.travel_mm.size(); i-- > 0;) outline.push_back(map(at(curve, i, -1.0)));
  picture.polygon(outline, css_class);
}

void draw_inch_marks(Picture& picture, const Box& world, const Mapping& map) {
  const int most = static_cast<int>(std::floor(std::max(world.top, -world.bottom) / mm_per_inch + 1e-9));
  for (int inches = -most; inches <= most; ++inches) {
    const double travel_mm = inches * mm_per_inch;
    if (inches == 0 || travel_mm > world.top || travel_mm < world.bottom) continue;
    picture.line(map(world.left, travel_mm), map(world.right, travel_mm), "inch");
    picture.text(map(world.right, travel_mm) + Eigen::Vector2d(-3, -4), Anchor::end,
                 std::to_string(std::abs(inches)) + " in " + (inches > 0 ? "up" : "down"), "small");
  }
}

void draw_toe_axes(Picture& picture, const Box& world, const Mapping& map, double rim_diameter_mm) {
  const double bottom = frame_top + frame_height;
  draw_angle_axis(picture, world, map, frame);
  const double right_mm = toe_at_rim_mm(rad_from_deg(world.right), rim_diameter_mm);
  const double step_mm = round_step(2.0 * right_mm, 8);
  const int decimals_mm = std::max(0, static_cast<int>(std::ceil(-std::log10(step_mm) - 1e-9)));
  for (int i = -static_cast<int>(right_mm / step_mm); i * step_mm <= right_mm; ++i) {
    const double toe_deg = deg_from_rad(std::asin(i * step_mm / rim_diameter_mm));
    const double x = map(toe_deg, 0.0).x();
    picture.line({x, frame_top - 5}, {x, frame_top}, "axis");
    picture.text({x, frame_top - 8}, Anchor::middle, with_minus(format_fixed(i * step_mm, decimals_mm)),
                 "tick");
  }
  const double middle = frame_left + 0.5 * frame_width;
  picture.text({frame_left + 22, bottom + 34}, Anchor::start, "\xE2\x86\x90 toe-out", "strong");
  picture.text({middle, bottom + 34}, Anchor::middle, "toe change, degrees", "small");
  picture.text({frame_left + frame_width, bottom + 34}, Anchor::end, "toe-in \xE2\x86\x92", "strong");
  picture.text({middle, frame_top - 26}, Anchor::middle,
               "toe change, mm at the rim (" + format_fixed(rim_diameter_mm, 0) + " mm across)", "small");
}

}  // namespace

Markup toe_picture(const ReportInput& input) {
  const Advice& advice = input.advice;
  if (!drawable(advice.now)) return {};
  const Plan plan = plan_of(advice);
  const Box world = world_of(input, plan);
  const Mapping map(world, frame_left, frame_top, frame_width, frame_height);
  std::string description = "Toe change of one wheel against its travel. Now the largest change is " +
                            value_text(deg_from_rad(advice.now.largest_change_rad), 0.0, 2) + " degrees";
  if (drawable(plan.curve))
    description += ", " + plan.name + " " +
                   format_fixed(std::abs(deg_from_rad(plan.curve.largest_change_rad)), 2) + " degrees";
  Picture picture("toe-curve", picture_width, picture_height, "Toe change over wheel travel",
                  description + ". The toe table below has the numbers.");
  picture.rectangle(frame_left, frame_top, frame_width, frame_height, "frame");
  draw_toe_axes(picture, world, map, input.hardpoints.wheel.rim_diameter_mm);
  picture.in_each_unit([&](LengthUnit unit) { draw_travel_axis(picture, world, map, frame, unit); });
  draw_inch_marks(picture, world, map);
  draw_band(picture, advice.now, map, "band-now");
  std::vector<Line> lines{{&advice.parallel_link, "rule"}};
  if (best_is_another(advice)) lines.push_back({&advice.best, "best"});
  lines.push_back({&advice.now, "now"});
  for (const Line& line : lines)
    if (drawable(*line.curve)) picture.polyline(visible(*line.curve, world, map), line.css_class);
  in_each_plan(picture, plans_of(input), [&](const Plan& one) {
    if (!drawable(one.curve)) return;
    draw_band(picture, one.curve, map, "band-after");
    picture.polyline(visible(one.curve, world, map), "after");
  });
  const double ride = map(0.0, 0.0).y();
  picture.group({{"id", "travel-mark"}, {"data-per-mm", format_fixed(map(0.0, 1.0).y() - ride, 4)}}, [&] {
    picture.line({frame_left, ride}, {frame_left + frame_width, ride}, "travel-mark");
  });
  return picture.markup();
}

}  // namespace pivotfix::report
