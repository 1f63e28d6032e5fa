// SPDX-License-Identifier: Apache-2.0
#include "locate/wheel_readings.h"

#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"
#include "locate/shapes.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;

double sigma_of(const Eigen::RowVectorXd& by_inputs, const MatrixXd& covariance) {
  return std::sqrt(std::max(0.0, (by_inputs * covariance * by_inputs.transpose()).value()));
}

double side_of(const HardpointQuestion& question) {
  return question.side == Side::left ? 1.0 : -1.0;
}

// Normal of the plane of the hub's tags in one set, outwards.
Traced hub_normal(const ReadingsInput& input, const Body& hub, const std::string& set) {
  std::vector<Traced> points;
  Vector3d outwards = Vector3d::Zero();
  for (const int tag : hub.tags)
    if (input.network.index_of(tag, set) >= 0) {
      points.push_back(input.network.centre(tag, set, "the wheel's plane"));
      outwards += input.network.tag(tag, set, "the wheel's plane").value.rotation * Vector3d::UnitZ();
    }
  return plane_through(points, outwards, "the wheel's plane");
}

struct TracedReading {
  WheelReading reading{};
  double runout_toe_sigma_rad = 0.0;  // of the change: a hub that rolled turns its own runout
  Eigen::RowVectorXd toe_by_inputs{};
  Eigen::RowVectorXd rise_by_inputs{};
};

// Toe-in and camber with the top outwards positive on both sides (ISO 8855 for the left wheel).
TracedReading reading_of(const Traced& spin_network, const ReadingsInput& input) {
  const double side = side_of(input.question);
  Traced spin = direction_of(input.axes.direction(spin_network));
  if (side * spin.value.y() < 0.0) spin = -1.0 * spin;
  const double across = side * spin.value.y();
  TracedReading traced;
  WheelReading& reading = traced.reading;
  reading.toe_rad = std::atan2(spin.value.x(), across);
  reading.camber_rad = -std::asin(std::clamp(spin.value.z(), -1.0, 1.0));
  const double level = spin.value.x() * spin.value.x() + across * across;
  traced.toe_by_inputs =
      (across * spin.by_inputs.row(0) - spin.value.x() * side * spin.by_inputs.row(1)) / level;
  reading.toe_sigma_rad = sigma_of(traced.toe_by_inputs, input.covariance);
  reading.camber_sigma_rad = sigma_of(spin.by_inputs.row(2) / std::sqrt(level), input.covariance);
  return traced;
}

// The reference set's own change and rise are zero.
void add_change_sigmas(const ReadingsInput& input, std::vector<TracedReading>& all) {
  const auto reference = std::find_if(all.begin(), all.end(), [&](const TracedReading& one) {
    return one.reading.height == input.question.reference_height;
  });
  if (reference == all.end()) return;
  for (TracedReading& one : all) {
    one.reading.toe_change_sigma_rad = std::hypot(
        sigma_of(one.toe_by_inputs - reference->toe_by_inputs, input.covariance), one.runout_toe_sigma_rad);
    one.reading.rise_sigma_mm = sigma_of(one.rise_by_inputs - reference->rise_by_inputs, input.covariance);
  }
}

// The body that carries the wheel: the knuckle, else the hub; none where neither has tags.
const Body* carrier_of(const PivotWays& ways) {
  const Body* const knuckle = ways.body("knuckle");
  return knuckle ? knuckle : ways.body("hub");
}

// How the wheel carrier moved from the reference height to another one.
TracedPose carrier_moved(const ReadingsInput& input, const PivotWays& ways, const std::string& height) {
  const Body* const carrier = carrier_of(ways);
  return input.network.moved(carrier ? *carrier : Body{}, input.question.reference_height, height);
}

bool seen_at(const ReadingsInput& input, const Body& body, const std::string& height) {
  return std::any_of(body.tags.begin(), body.tags.end(),
                     [&](int tag) { return input.network.index_of(tag, height) >= 0; });
}

bool plane_seen(const ReadingsInput& input, const Body& body, const std::string& height) {
  constexpr std::ptrdiff_t fewest_tags = 3;
  return std::count_if(body.tags.begin(), body.tags.end(),
                       [&](int tag) { return input.network.index_of(tag, height) >= 0; }) >= fewest_tags;
}

// Where the rack was not moved and the carrier is seen; none when the reference height does not show it.
std::vector<std::string> heights_of_carrier(const ReadingsInput& input, const Body& carrier) {
  const auto& steered = input.question.steered_heights;
  std::vector<std::string> heights;
  if (!seen_at(input, carrier, input.question.reference_height)) return heights;
  for (const std::string& height : input.question.heights)
    if (seen_at(input, carrier, height) && std::count(steered.begin(), steered.end(), height) == 0)
      heights.push_back(height);
  return heights;
}

TracedReading reading_at(const std::string& height, const TracedPose& moved, const Traced& axis,
                         const ReadingsInput& input) {
  TracedReading traced = reading_of(moved.turn(axis), input);
  const Traced centre = input.axes.point(moved * input.wheel_centre_network);
  traced.reading.height = height;
  traced.reading.rise_mm = centre.value.z() - input.axes.point(input.wheel_centre_network).value.z();
  traced.rise_by_inputs = centre.by_inputs.row(2);
  return traced;
}

// Tags a few tenths of a millimetre out of their plane make a runout of some 0.2 degrees, of which a roll
// passes 2 sin(roll / 2) for toe change: rolled by more than this, a twelfth or more.
constexpr double usual_runout_rad = 0.2 * rad_per_deg;
constexpr double most_roll_rad = 5.0 * rad_per_deg;

std::string rolled_words(const std::string& height, double rolled_rad) {
  return "No toe from \"" + height + "\": the hub had rolled by " +
         format_fixed(deg_from_rad(rolled_rad), 0) +
         " degrees, and how far its tags are out of true would pass for steering. Hold it still, or stick "
         "three "
         "tags on the knuckle (knuckle under [moving]).";
}

// Along the wheel's axis, outwards, in network axes; without tags on the hub straight across the car.
Traced outboard(const ReadingsInput& input, const PivotWays& ways, const std::string& height) {
  const Body* hub = ways.body("hub");
  if (hub && plane_seen(input, *hub, height)) {
    const Traced normal = direction_of(hub_normal(input, *hub, height));
    return side_of(input.question) * input.axes.direction(normal).value.y() < 0.0 ? -1.0 * normal : normal;
  }
  const Vector3d across(0.0, side_of(input.question), 0.0);
  return {input.axes.vehicle_from_network().rotation.conjugate() * across,
          MatrixXd::Zero(3, input.network.inputs())};
}

struct Distance {
  double length_mm = 0.0;
  Vector3d along = Vector3d::Zero();  // from the wheel centre to the body's tag, in vehicle axes
  double sigma_mm = 0.0;
};

Distance distance_to_body(const ReadingsInput& input, const Traced& hub_network) {
  const Traced out =
      input.axes.point(input.network.centre(input.question.ride_height->body_tag,
                                            input.question.reference_height, "the ride height")) -
      input.axes.point(hub_network);
  const Vector3d along = out.value.normalized();
  return {out.value.norm(), along, sigma_of(along.transpose() * out.by_inputs, input.covariance)};
}

// How much further up the tag would be from a wheel that stood at the recorded distance straight below.
double above_ride_mm(const Distance& now, double recorded_mm) {
  const double up_mm = now.length_mm * now.along.z();
  const double aside_mm2 = now.length_mm * now.length_mm - up_mm * up_mm;
  return std::sqrt(std::max(0.0, recorded_mm * recorded_mm - aside_mm2)) - up_mm;
}

}  // namespace

WheelReadings wheel_readings(const ReadingsInput& input, PivotWays& ways) {
  WheelReadings result;
  const Body* hub = ways.body("hub");
  const Body* carrier = ways.body("knuckle");
  if (!hub) return {};
  const auto spin = ways.spin_axis();
  if (!spin && !plane_seen(input, *hub, input.question.reference_height)) {
    result.notes.push_back(
        "No toe or camber from the photos: three tags on the hub make its plane, fewer are seen.");
    return result;
  }
  const Traced axis = spin ? spin->direction : hub_normal(input, *hub, input.question.reference_height);
  std::vector<TracedReading> all;
  for (const std::string& height : heights_of_carrier(input, carrier ? *carrier : *hub)) {
    const TracedPose moved = carrier_moved(input, ways, height);
    const double rolled_rad = std::abs(axis.value.normalized().dot(rotation_vector(moved).value));
    if (!carrier && rolled_rad > most_roll_rad) {
      result.notes.push_back(rolled_words(height, rolled_rad));
      continue;
    }
    all.push_back(reading_at(height, moved, axis, input));
    all.back().reading.from_spin_axis = spin.has_value();
    if (!carrier && !spin)
      all.back().runout_toe_sigma_rad = usual_runout_rad * 2.0 * std::sin(0.5 * rolled_rad);
  }
  add_change_sigmas(input, all);
  for (const TracedReading& one : all) result.readings.push_back(one.reading);
  return result;
}

std::vector<RideHeightReading> ride_height_readings(const ReadingsInput& input, const PivotWays& ways) {
  std::vector<RideHeightReading> readings;
  if (!input.question.ride_height) return readings;
  const RideHeightRecipe& recipe = *input.question.ride_height;
  double recorded_mm = recipe.recorded_mm, recorded_sigma_mm = recipe.sigma_mm;
  if (recipe.wheel_tag >= 0) {
    const Traced hub = input.network.tag(recipe.wheel_tag, recipe.wheel_set, "the ride height") *
                       Traced{{0.0, 0.0, -recipe.stand_off_mm}, MatrixXd::Zero(3, input.network.inputs())};
    const Distance distance = distance_to_body(input, hub);
    recorded_mm = distance.length_mm;
    recorded_sigma_mm = std::hypot(recipe.sigma_mm, distance.sigma_mm);
  }
  for (const std::string& height : input.question.heights) {
    if (height == recipe.wheel_set) continue;
    const Body* const carrier = carrier_of(ways);
    if (height != input.question.reference_height && (!carrier || !seen_at(input, *carrier, height)))
      continue;
    Traced hub = carrier_moved(input, ways, height) * input.wheel_centre_network;
    if (recipe.wheel_tag < 0) hub = hub + recipe.stand_off_mm * outboard(input, ways, height);
    const Distance distance = distance_to_body(input, hub);
    constexpr double least_steepness = 0.7;
    if (distance.along.z() < least_steepness)
      throw Problem(ProblemKind::refused,
                    "Tag " + std::to_string(recipe.body_tag) +
                        " is not above the hub: its distance does not tell the ride height.",
                    "Name a tag on the wing's edge or the body straight above the wheel.");
    readings.push_back({height, distance.length_mm, recorded_mm, above_ride_mm(distance, recorded_mm),
                        std::hypot(recorded_sigma_mm, distance.sigma_mm) / distance.along.z()});
  }
  return readings;
}

// A change's variance is split in halves between its two sets: differences between any two of them then come
// out as uncertain as the network says, to what their errors differ by.
std::vector<ToeReading> toe_readings(const Located& located, const HardpointQuestion& question) {
  const bool by_motion =
      std::any_of(question.hardpoints.begin(), question.hardpoints.end(), [](const HardpointRecipe& recipe) {
        return recipe.motion || std::holds_alternative<ByMotion>(recipe.way);
      });
  std::vector<ToeReading> readings;
  double variances = 0.0;
  for (const WheelReading& wheel : located.wheel) {
    ToeReading reading{wheel.rise_mm, wheel.toe_rad, wheel.toe_change_sigma_rad / std::sqrt(2.0),
                       wheel.rise_sigma_mm};
    reading.from_photos = true;
    reading.only_compared = by_motion;
    variances += reading.sigma_rad * reading.sigma_rad;
    readings.push_back(reading);
  }
  if (readings.size() < 2 || variances == 0.0) return {};
  for (ToeReading& reading : readings)
    if (reading.sigma_rad == 0.0)
      reading.sigma_rad = std::sqrt(variances / static_cast<double>(readings.size() - 1));
  return readings;
}

std::optional<Uncertain> camber_at_reference(const Located& located, const HardpointQuestion& question) {
  for (const WheelReading& wheel : located.wheel)
    if (wheel.height == question.reference_height)
      return Uncertain{wheel.camber_rad, wheel.from_spin_axis
                                             ? wheel.camber_sigma_rad
                                             : std::hypot(wheel.camber_sigma_rad, usual_runout_rad)};
  return std::nullopt;
}

}  // namespace pivotfix
