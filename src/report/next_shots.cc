// SPDX-License-Identifier: Apache-2.0
#include "report/next_shots.h"

#include <cmath>

#include "base/length_words.h"
#include "page/each_unit.h"
#include "page/numbers.h"
#include "page/svg.h"
#include "report/sections.h"

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;

constexpr double picture_width = 440.0, picture_height = 300.0;
constexpr double margin = 26.0;
constexpr double wheel_radius_mm = 310.0, wheel_width_mm = 200.0;  // sketched

// Seen from above, ahead upwards; the page's x is the vehicle's -y, so that left stays left.
Point in_plan(const Eigen::Vector3d& vehicle_mm) {
  return {-vehicle_mm.y(), vehicle_mm.x()};
}

Box box_of(const ReportInput& input) {
  const Point wheel = in_plan(input.hardpoints.position_vehicle_mm("wheel_centre"));
  Box box{wheel.x(), wheel.x(), wheel.y(), wheel.y()};
  for (const Hardpoint& point : input.hardpoints.points) box.include(in_plan(point.position_vehicle_mm));
  for (const Point& corner :
       {Point(wheel_width_mm, wheel_radius_mm), Point(-wheel_width_mm, -wheel_radius_mm)})
    box.include(wheel + corner);
  for (const Shot& shot : input.next_shots->shots) box.include(in_plan(shot.place_vehicle_mm));
  if (input.network)
    for (const Station& station : input.network->stations)
      if (station.used)
        box.include(
            in_plan(input.next_shots->vehicle_from_network * station.network_from_camera.translation_mm));
  return box.grown(60.0);
}

// Equal scales, the drawing in the middle.
Mapping mapping_of(const Box& box) {
  const double scale =
      std::min((picture_width - 2 * margin) / box.width(), (picture_height - 2 * margin) / box.height());
  const double width = scale * box.width(), height = scale * box.height();
  return {box, 0.5 * (picture_width - width), 0.5 * (picture_height - height), width, height};
}

void draw_corner(Picture& picture, const ReportInput& input, const Mapping& map) {
  const Point wheel = in_plan(input.hardpoints.position_vehicle_mm("wheel_centre"));
  std::vector<Point> tyre;
  for (const auto& [a, b] : {std::pair{-1.0, -1.0}, {1.0, -1.0}, {1.0, 1.0}, {-1.0, 1.0}})
    tyre.push_back(map(wheel + Point(0.5 * a * wheel_width_mm, b * wheel_radius_mm)));
  picture.polygon(tyre, "tyre");
  for (const Hardpoint& point : input.hardpoints.points)
    picture.circle(map(in_plan(point.position_vehicle_mm)), 2.5, "joint");
  picture.circle(map(in_plan(input.hardpoints.position_vehicle_mm("link_outer_joint"))), 4.0, "joint-now");
}

void draw_taken(Picture& picture, const ReportInput& input, const Mapping& map) {
  if (!input.network) return;
  for (const Station& station : input.network->stations) {
    if (!station.used) continue;
    const RigidTransform vehicle_from_camera =
        input.next_shots->vehicle_from_network * station.network_from_camera;
    picture.circle(map(in_plan(vehicle_from_camera.translation_mm)), 2.5, "taken");
  }
}

constexpr double disc = 9.0;

// In the picture; places above each other are drawn side by side.
std::vector<Point> shot_places(const std::vector<Shot>& shots, const Mapping& map) {
  std::vector<Point> places;
  for (const Shot& shot : shots) {
    Point place = map(in_plan(shot.place_vehicle_mm));
    for (const Point& other : places)
      if ((place - other).norm() < 2.0 * disc) place = other + Point(2.0 * disc + 3.0, 0.0);
    places.push_back(place);
  }
  return places;
}

void draw_shot(Picture& picture, const Point& place, const Point& aim, std::size_t number) {
  constexpr double arrow_length = 44.0;
  const Point along = (aim - place).normalized();
  picture.arrow(place + disc * along, place + (disc + arrow_length) * along, "move");
  picture.circle(place, disc, "shot");
  picture.text(place + Point(0, 4.5), Anchor::middle, std::to_string(number), "strong");
}

Markup plan_picture(const ReportInput& input) {
  Picture picture("next-shots", picture_width, picture_height, "Where to stand",
                  "The corner from above with the places of the photos taken and of those to take next.");
  const Mapping map = mapping_of(box_of(input));
  draw_corner(picture, input, map);
  draw_taken(picture, input, map);
  const std::vector<Shot>& shots = input.next_shots->shots;
  const std::vector<Point> places = shot_places(shots, map);
  for (std::size_t i = shots.size(); i-- > 0;)
    draw_shot(picture, places[i], map(in_plan(shots[i].aim_vehicle_mm)), i + 1);
  picture.arrow(Point(20, 52), Point(20, 22), "construction");
  picture.text(Point(28, 34), Anchor::start, "ahead", "small");
  return picture.markup();
}

}  // namespace

std::string sigma_text(double sigma_mm, LengthUnit unit) {
  return "\xC2\xB1 " + format_length(sigma_mm, unit, fine_decimals(unit) + 1);
}

namespace {

// "the stand-off of the lower ball joint (tag 12) ± 0.08 mm and how well the tag sits centred over ..."
std::string hand_list(const ShotPlan& plan) {
  std::string list;
  for (std::size_t i = 0; i < plan.by_hand.size(); ++i) {
    const MeasuredByHand& part = plan.by_hand[i];
    const std::string where = part.tag >= 0 ? "tag " + std::to_string(part.tag) : part.way;
    list += i == 0 ? "" : i + 1 < plan.by_hand.size() ? ", " : " and ";
    list += part.words + (where.empty() ? "" : " (" + where + ")") + " \xC2\xB1 " +
            length_words(part.sigma_mm, 2);
  }
  return list;
}

}  // namespace

std::string shots_sentence(const ShotPlan& plan, LengthUnit unit) {
  if (plan.wanted.empty()) return "These points came without uncertainties, so no place can be preferred.";
  std::string wanted = plan.wanted;
  wanted[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(wanted[0])));
  const std::string now = wanted + " is known to " + sigma_text(plan.sigma_mm, unit) + ". ";
  const std::string photos = "the photos' part in that is " + sigma_text(plan.photo_sigma_mm, unit);
  if (plan.shots.empty())
    return now + "More photos would not help: " + photos + "." +
           (plan.by_hand.empty()
                ? ""
                : lengths_in(" To be surer, measure again by hand " + hand_list(plan) + ".", unit));
  const std::string of_set = plan.set.empty() ? "" : " of \"" + plan.set + "\"";
  const bool one = plan.shots.size() == 1;
  return now + (one ? "This photo" : "These photos") + of_set + " would help most" +
         (one ? ":" : ", each on top of the one before:");
}

std::string hand_sentence(const ShotPlan& plan) {
  double by_photos = plan.photo_sigma_mm * plan.photo_sigma_mm, by_hand = 0.0;
  for (const MeasuredByHand& part : plan.by_hand) {
    const double square = part.sigma_mm * part.sigma_mm;
    by_hand += square;
    if (part.within_photos) by_photos -= square;
  }
  if (by_photos > 0.5 * plan.sigma_mm * plan.sigma_mm || plan.by_hand.empty() || by_hand < by_photos)
    return {};
  return "Most of the \xC2\xB1 comes from what was measured by hand, not from the photos: " +
         hand_list(plan) + ". To be surer, measure that again.";
}

namespace {

Markup shot_list(const ReportInput& input) {
  const ShotPlan& plan = *input.next_shots;
  Markup items;
  for (const Shot& shot : plan.shots)
    items +=
        element("li", shot.words + ": then " + sigma_text(shot.sigma_mm, input.unit)) + Markup::trusted("\n");
  Markup list = paragraph(shots_sentence(plan, input.unit));
  if (!plan.shots.empty()) list += element("ol", items);
  std::vector<std::string> weak;
  for (const std::string& words : plan.weak) weak.push_back(lengths_in(words, input.unit));
  return list + bullets(weak);
}

}  // namespace

Markup next_shots_section(const ReportInput& input) {
  if (!input.next_shots) return {};
  const Markup right =
      figure("From above", plan_picture(input),
             caption("Small grey dots: photos taken. Numbers: where to stand next. Orange: the "
                     "rod end. The wheel is a sketch."));
  return element(
      "section", {{"class", "screen-only"}},
      element("h2", "Where to stand for the next photo") + pair(in_each_unit(input, shot_list), right));
}

}  // namespace pivotfix::report
