// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "club_report/comparison_pictures.h"
#include "hardpoints/bars.h"
#include "page/label_places.h"
#include "page/numbers.h"
#include "page/svg.h"

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;
using ViewRows = Eigen::Matrix<double, 2, 3>;

constexpr double margin = 16.0;
constexpr double footer_height = 46.0;
// In view-box units. Side and plan view stand side by side: about as many units as pixels, so that the words
// can be read there, too.
struct Size {
  double width = 440.0;
  double most_height = 400.0;
};
Size size_of(Seen seen) {
  return seen == Seen::from_ahead ? Size{} : Size{240.0, 290.0};
}

constexpr double longest_mm = 70.0;             // of an enlarged arrow or ellipse in the drawing
constexpr double ninety_five_percent = 2.4477;  // root of chi square with two degrees of freedom at 0.05

// Page's right and up in vehicle axes. From ahead one looks rearward: the car's left is at the right.
ViewRows view_rows(Seen seen, Side side) {
  ViewRows rows = ViewRows::Zero();
  if (seen == Seen::from_ahead) rows(0, 1) = rows(1, 2) = 1.0;
  if (seen == Seen::from_above) rows(0, 1) = -1.0, rows(1, 0) = 1.0;
  if (seen == Seen::from_the_side) rows(0, 0) = side == Side::left ? -1.0 : 1.0, rows(1, 2) = 1.0;
  return rows;
}

const char* words_of(Seen seen) {
  if (seen == Seen::from_ahead) return "seen from ahead";
  return seen == Seen::from_above ? "seen from above" : "seen from the side";
}

const char* id_of(Seen seen) {
  if (seen == Seen::from_ahead) return "shifts-front";
  return seen == Seen::from_above ? "shifts-plan" : "shifts-side";
}

const char* ahead_words(Seen seen, Side side) {
  if (seen == Seen::from_ahead) return side == Side::left ? "outboard \xE2\x86\x92" : "\xE2\x86\x90 outboard";
  if (seen == Seen::from_above) return "\xE2\x86\x91 ahead";
  return side == Side::left ? "\xE2\x86\x90 ahead" : "ahead \xE2\x86\x92";
}

const char* class_of(const Shift& shift) {
  if (shift.verdict.movement == Movement::surely) return "shift-sure";
  return shift.verdict.movement == Movement::perhaps ? "shift-perhaps" : "shift-none";
}

// Outline of the ellipse about the origin.
std::vector<Point> ellipse(const Eigen::Matrix2d& covariance_mm2, double times) {
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(covariance_mm2);
  const Eigen::Matrix2d root =
      eigen.eigenvectors() * eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
  std::vector<Point> outline;
  for (int i = 0; i < 36; ++i) {
    const double angle = i * std::numbers::pi / 18.0;
    outline.push_back(times * ninety_five_percent * (root * Point(std::cos(angle), std::sin(angle))));
  }
  return outline;
}

struct View {
  Seen seen{};
  ViewRows rows{};
  double times = 1.0;

  Point operator()(const Eigen::Vector3d& vehicle_mm) const { return rows * vehicle_mm; }
};

Box box_of(const Comparison& comparison, const View& view) {
  const Point first = view(comparison.before.points.front().position_vehicle_mm);
  Box box{first.x(), first.x(), first.y(), first.y()};
  for (const Hardpoint& point : comparison.before.points) box.include(view(point.position_vehicle_mm));
  for (const Shift& shift : comparison.shifts) {
    const Point at = view(comparison.before.position_vehicle_mm(shift.name));
    box.include(at + view.times * view(shift.shift_mm));
    for (const Point& point : ellipse(view.rows * shift.covariance_mm2 * view.rows.transpose(), view.times))
      box.include(at + point);
  }
  if (view.seen != Seen::from_above) box.include({box.left, 0.0});
  return box.grown(14.0);
}

void draw_shape(Picture& picture, const HardpointSet& set, const View& view, const Mapping& map) {
  for (const Bar& bar : bars_of(set))
    picture.line(map(view(set.points[bar.from].position_vehicle_mm)),
                 map(view(set.points[bar.to].position_vehicle_mm)),
                 std::string_view(bar.kind) == "link" ? "shape-link" : "shape");
  for (const Hardpoint& point : set.points)
    picture.circle(map(view(point.position_vehicle_mm)), 2.5, "joint-of-view");
}

void draw_shift(Picture& picture, const Comparison& comparison, const Shift& shift, const View& view,
                const Mapping& map) {
  const Point at = view(comparison.before.position_vehicle_mm(shift.name));
  if (shift.reference) return;
  std::vector<Point> outline;
  for (const Point& point : ellipse(view.rows * shift.covariance_mm2 * view.rows.transpose(), view.times))
    outline.push_back(map(at + point));
  if (comparison.judged) picture.polygon(outline, "error-region");
  const Point tip = map(at + view.times * view(shift.shift_mm));
  if ((tip - map(at)).norm() > 1.0) picture.arrow(map(at), tip, class_of(shift));
}

// Names of those that moved, clear of bars, arrows and each other.
void draw_names(Picture& picture, const Comparison& comparison, const View& view, const Mapping& map,
                double picture_height) {
  LabelPlaces places(size_of(view.seen).width, picture_height);
  const auto at = [&](const Hardpoint& point) { return map(view(point.position_vehicle_mm)); };
  for (const Bar& bar : bars_of(comparison.before))
    places.avoid(at(comparison.before.points[bar.from]), at(comparison.before.points[bar.to]));
  std::vector<std::pair<const Shift*, Point>> named;
  for (const Shift& shift : comparison.shifts) {
    const Point start = view(comparison.before.position_vehicle_mm(shift.name));
    const Point tip = map(start + view.times * view(shift.shift_mm));
    places.avoid(map(start), tip);
    places.avoid_around(tip);
    if (shift.verdict.movement == Movement::surely) named.emplace_back(&shift, tip);
  }
  for (const auto& [shift, tip] : named) {
    const LabelPlace place = places.best(around(tip), spoken(shift->name));
    picture.text(place.at, place.anchor, spoken(shift->name), "strong");
  }
}

}  // namespace

double shift_enlargement(const Comparison& comparison) {
  double largest_mm = 1e-3;
  for (const Shift& shift : comparison.shifts)
    if (!shift.reference)
      largest_mm =
          std::max({largest_mm, shift.shift_mm.norm(), ninety_five_percent * shift.sigma_mm().maxCoeff()});
  for (const double times : {500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0, 2.0})
    if (times * largest_mm <= longest_mm) return times;
  return 1.0;
}

Markup shifts_picture(const ComparisonReport& input, Seen seen) {
  const Comparison& comparison = input.comparison;
  const Side side = comparison.before.side;
  const View view{seen, view_rows(seen, side), shift_enlargement(comparison)};
  const Box box = box_of(comparison, view);
  const auto [picture_width, most_height] = size_of(seen);
  const double scale = std::min((picture_width - 2 * margin) / box.width(),
                                (most_height - footer_height - margin) / box.height());
  const double width = scale * box.width(), height = margin + scale * box.height() + footer_height;
  const Mapping map(box, 0.5 * (picture_width - width), margin, width, scale * box.height());
  Picture picture(
      id_of(seen), picture_width, height, "Shifts of the pivots, " + std::string(words_of(seen)),
      "The corner to scale; arrows show how each pivot shifted, enlarged. The table of shifts has "
      "the numbers.");
  if (seen != Seen::from_above) picture.line(map(box.left, 0.0), map(box.right, 0.0), "ground");
  draw_shape(picture, comparison.before, view, map);
  for (const Shift& shift : comparison.shifts) draw_shift(picture, comparison, shift, view, map);
  draw_names(picture, comparison, view, map, height - footer_height);
  draw_scale_bar(picture, {margin, height - 14.0}, scale);
  if (seen == Seen::from_ahead)
    picture.text({0.55 * picture_width, height - 10.0}, Anchor::middle, words_of(seen), "small");
  picture.text({picture_width - margin, height - 10.0}, Anchor::end, ahead_words(seen, side), "strong");
  return picture.markup();
}

}  // namespace pivotfix::report
