// SPDX-License-Identifier: Apache-2.0
// All figures of a corner in one position, for any number type.
#pragma once

#include <array>
#include <cmath>

#include "corner/corner.h"
#include "corner/motion.h"

namespace pivotfix {

// An instant centre further away than 100 m is called infinitely far.
inline constexpr double smallest_turn_rad_mm = 1e-5;

// A line in space: a point and its direction.
template <typename Number>
struct SpaceLine {
  Vector3<Number> point;
  Vector3<Number> direction;
};

// Of all motions that the links other than the steering link allow, steer + lift * travel, two are pure turns
// about a line; the line that stands more upright is the steering axis, the other one the axis about which
// the knuckle swings up and down. Pure turn: velocity . turn = 0 (derived; a screw of no pitch, and the line
// meets every link's line because links do no work). Where there is none, one near that of least pitch
// counts.
template <typename Number>
SpaceLine<Number> steering_axis_of(const Standing<Number>& at, const Motions<Number>& motions) {
  using std::sqrt;
  const Motion<Number>& steer = motions.steer;
  const Motion<Number>& swing = motions.without_toe;
  const Number a = swing.shift().dot(swing.turn());
  const Number b = steer.shift().dot(swing.turn()) + swing.shift().dot(steer.turn());
  const Number c = steer.shift().dot(steer.turn());
  const Number discriminant = b * b - Number(4.0) * a * c;
  const Number root = value_of(discriminant) > 0.0 ? Number(sqrt(discriminant)) : Number(0.0);
  const Number sum = value_of(b) < 0.0 ? Number(b - root) : Number(b + root);
  const Number lift = value_of(sum) == 0.0 ? Number(0.0) : Number(Number(-2.0) * c / sum);
  const Vector3<Number> turn = steer.turn() + lift * swing.turn();
  const Vector3<Number> shift = steer.shift() + lift * swing.shift();
  const Vector3<Number> to_axis = turn.cross(shift) / Number(turn.squaredNorm());
  return {at.reference() + to_axis, -turn};  // toe-in turns about -z
}

template <typename Number>
Number radius_of(const Standing<Number>& at) {
  return at.points[at.list.wheel_centre].z() / Number(std::hypot(at.spin_at_ride.x(), at.spin_at_ride.y()));
}

// The lowest point of the wheel's plane, at the radius that touches z = 0 at ride height.
template <typename Number>
Vector3<Number> contact_point(const Vector3<Number>& wheel_centre, const Vector3<Number>& spin,
                              const Number& radius) {
  using std::sqrt;
  const Number level = sqrt(spin.x() * spin.x() + spin.y() * spin.y());
  const Vector3<Number> down = (spin * spin.z() - Vector3<Number>::UnitZ()) / level;
  return wheel_centre + down * radius;
}

template <typename Number>
struct FiguresOf {
  std::array<Number, figure_count> values{};
  bool instant_centre_far = false;
  Number& operator[](Figure figure) { return values.at(static_cast<std::size_t>(figure)); }
};

template <typename Number>
void add_wheel_angles(const Standing<Number>& at, const Motions<Number>& motions, FiguresOf<Number>& out) {
  using std::asin;
  using std::atan2;
  const Vector3<Number> spin = at.spin();
  out[Figure::toe] = atan2(spin.x(), spin.y());
  out[Figure::camber] = -asin(spin.z());
  out[Figure::toe_per_travel] = toe_velocity(spin, motions.travel);
  // camber = -asin(s_z) with s' = turn x s.
  using std::sqrt;
  const Number level = sqrt(spin.x() * spin.x() + spin.y() * spin.y());
  out[Figure::camber_per_travel] = -motions.travel.turn().cross(spin).z() / level;
}

template <typename Number>
void add_steering_axis(const Standing<Number>& at, const SpaceLine<Number>& axis,
                       const Vector3<Number>& contact, FiguresOf<Number>& out) {
  using std::atan2;
  using std::sqrt;
  const Vector3<Number>& up = axis.direction;
  out[Figure::caster] = atan2(Number(-up.x()), up.z());
  out[Figure::inclination] = atan2(Number(-up.y()), up.z());
  const Vector3<Number> on_ground = axis.point + up * Number((contact.z() - axis.point.z()) / up.z());
  const Vector3<Number> spin = at.spin();
  const Number level = sqrt(spin.x() * spin.x() + spin.y() * spin.y());
  const Vector3<Number> to_contact = contact - on_ground;
  out[Figure::scrub_radius] = (to_contact.x() * spin.x() + to_contact.y() * spin.y()) / level;
  out[Figure::trail] = (to_contact.y() * spin.x() - to_contact.x() * spin.y()) / level;
}

// The knuckle's motion seen in the transverse plane through the contact point. Heights count from the contact
// point, which is on the ground at every travel.
template <typename Number>
void add_instant_centre(const Standing<Number>& at, const Motions<Number>& motions,
                        const Vector3<Number>& contact, FiguresOf<Number>& out) {
  const Vector3<Number> lever = contact - at.reference();
  const Vector3<Number> velocity = motions.travel.velocity_at(lever);
  const Number turn = motions.travel.turn().x();
  out[Figure::roll_centre_height] = contact.y() * velocity.y() / velocity.z();
  out.instant_centre_far = std::abs(value_of(turn)) < smallest_turn_rad_mm;
  const bool far = out.instant_centre_far;
  out[Figure::swing_arm_length] = far ? Number(0.0) : Number(velocity.z() / turn);
  out[Figure::instant_centre_y] = far ? Number(0.0) : Number(contact.y() - velocity.z() / turn);
  out[Figure::instant_centre_z] = far ? Number(0.0) : Number(velocity.y() / turn);
}

template <typename Number>
FiguresOf<Number> figures_of(const Standing<Number>& at, const Drive& drive) {
  const Motions<Number> motions = motions_of(at, drive);
  const Vector3<Number>& wheel_at_ride = at.points[at.list.wheel_centre];
  const Vector3<Number> spin_at_ride = at.spin_at_ride.template cast<Number>();
  const Number radius = radius_of(at);
  const Vector3<Number> contact_at_ride = contact_point(wheel_at_ride, spin_at_ride, radius);
  const Vector3<Number> contact = contact_point(at.place_of(at.list.wheel_centre), at.spin(), radius);
  FiguresOf<Number> out;
  add_wheel_angles(at, motions, out);
  add_steering_axis(at, steering_axis_of(at, motions), contact, out);
  add_instant_centre(at, motions, contact, out);
  out[Figure::contact_forward] = contact.x() - contact_at_ride.x();
  out[Figure::contact_outward] = contact.y() - contact_at_ride.y();
  out[Figure::contact_upward] = contact.z() - contact_at_ride.z();
  return out;
}

}  // namespace pivotfix
