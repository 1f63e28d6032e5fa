// SPDX-License-Identifier: Apache-2.0
#include "locate/locator.h"

#include <algorithm>
#include <cmath>

#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"
#include "hardpoints/workshop_words.h"
#include "locate/unit_direction.h"
#include "locate/wheel_readings.h"

namespace pivotfix {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;

namespace {

// Where a hinge's pivots are put along it when nothing else says: only the line matters.
constexpr double along_hinge_mm = 100.0;

std::string end_words(const MeasuredDistance& tape) {
  return tape.to_tag < 0 ? tape.to : "tag " + std::to_string(tape.to_tag);
}

}  // namespace

void Locator::fill_covariance(const Network& network) {
  covariance_.topLeftCorner(plan_.tags, plan_.tags) = network.tag_covariance;
  for (std::size_t i = 0; i < question_.hardpoints.size(); ++i) {
    const Vector3d sigma_mm = own_sigma_mm(question_.hardpoints[i].way);
    covariance_.diagonal().segment<3>(plan_.own(i)) = sigma_mm.cwiseAbs2();
  }
  covariance_.diagonal().segment<VehicleAxes::own_inputs>(plan_.axes()) = axes_.own_sigma().cwiseAbs2();
  for (std::size_t i = 0; i < question_.distances.size(); ++i)
    covariance_(plan_.distance(i), plan_.distance(i)) =
        question_.distances[i].sigma_mm * question_.distances[i].sigma_mm;
}

std::optional<std::size_t> Locator::index_of(const std::string& name) const {
  for (std::size_t i = 0; i < question_.hardpoints.size(); ++i)
    if (question_.hardpoints[i].name == name) return i;
  return std::nullopt;
}

void Locator::find_own_places() {
  for (std::size_t i = 0; i < question_.hardpoints.size(); ++i) {
    const HardpointRecipe& recipe = question_.hardpoints[i];
    place_.emplace_back();
    if (by_hand(i) || std::holds_alternative<ByMotion>(recipe.way)) continue;
    if (std::holds_alternative<TagTube>(recipe.way)) {
      const TubeLine axis = ways_.tube_axis(recipe, plan_.own(i));
      place_.back() = axis.low;
      covariance_.block<6, 6>(plan_.tube(), plan_.tube()) += axis.scatter;
      note_scatter(recipe, axis.scatter.topLeftCorner<3, 3>());
    } else {
      const OwnPlace own = ways_.pivot(recipe, plan_.own(i));
      place_.back() = own.point;
      covariance_.block<3, 3>(plan_.own(i), plan_.own(i)) += own.scatter_mm2;
      note_scatter(recipe, own.scatter_mm2);
    }
  }
}

// Three inputs become less certain, all alike and by themselves.
void Locator::widen(Index first_input, double sigma) {
  covariance_.diagonal().segment<3>(first_input).array() += sigma * sigma;
}

// The inputs that shift the hardpoint's place as it stands, along three axes square to each other.
Index Locator::place_inputs(std::size_t index) const {
  if (from_motion_alone_[index]) return plan_.play(index);
  return std::holds_alternative<TagTube>(question_.hardpoints[index].way) ? plan_.tube() : plan_.own(index);
}

bool Locator::on_line_only(std::size_t index) const {
  return from_motion_alone_[index] && motion_[index]->direction.has_value();
}

// How well motion knows its place, against the middle of the moving part's own tags: neither the network's
// datum nor an error that the axes have in common is the joint's.
Matrix3d Locator::motion_spread_vehicle(std::size_t index, double along_mm) const {
  const MotionPlace& motion = *motion_[index];
  Traced place = motion.point;
  if (motion.direction) place = place + along_mm * *motion.direction;
  Traced out = axes_.direction(place - motion.near);
  out.by_inputs.middleCols<VehicleAxes::own_inputs>(plan_.axes()).setZero();
  return out.by_inputs * covariance_ * out.by_inputs.transpose();
}

// What no motion tells, at that place along the line.
Matrix3d Locator::open_vehicle(std::size_t index, double along_mm) const {
  const Matrix3d turn = axes_.vehicle_from_network().rotation.toRotationMatrix();
  return turn * motion_[index]->open_at(along_mm) * turn.transpose();
}

// What motion leaves open; and motion that is wider than the photos explain is that much less certain. The
// inputs for a joint's play are in the axes of the place that they are added to.
void Locator::add_motion_play(std::size_t index, double along_mm, const Matrix3d& play_from_vehicle) {
  const double widening = motion_[index]->check.widening;
  const Matrix3d play =
      open_vehicle(index, along_mm) + (widening * widening - 1.0) * motion_spread_vehicle(index, along_mm);
  covariance_.block<3, 3>(plan_.play(index), plan_.play(index)) +=
      play_from_vehicle * play * play_from_vehicle.transpose();
}

void Locator::find_motion_places() {
  for (std::size_t i = 0; i < question_.hardpoints.size(); ++i) {
    const HardpointRecipe& recipe = question_.hardpoints[i];
    const bool alone = std::holds_alternative<ByMotion>(recipe.way);
    motion_.emplace_back();
    from_motion_alone_.push_back(alone);
    if (!alone && !recipe.motion) continue;
    std::optional<Vector3d> near_mm;
    if (place_[i]) near_mm = place_[i]->value;
    motion_[i] = ways_.from_motion(recipe.name, near_mm);
    MotionPlace& motion = *motion_[i];
    if (motion.check.doubtful)
      located_.notes.push_back(
          recipe.name + ": the joint moves by more than the photos' noise (" +
          format_fixed(motion.check.widening, 1) +
          " times); play or rubber, or is a tag partly covered in some photos? Its uncertainty "
          "from motion is that much wider.");
    if (!alone) continue;
    place_[i] = motion.point;
    double along_mm = 0.0;
    if (motion.direction) {
      if (recipe.name == "wheel_centre")
        throw Problem(ProblemKind::refused, "The hub's turning gives the wheel's axis, but no centre on it.",
                      "Give wheel_centre a ring of the hub's tags with its stand_off as well.");
      // Anywhere on the line will do; both pivots of an arm must differ.
      const bool rear = recipe.name.find("rear") != std::string::npos;
      const bool low = recipe.name == "strut_axis_low";
      const double sense = axes_.direction(*motion.direction).value[low ? 2 : 0] < 0.0 ? -1.0 : 1.0;
      along_mm = sense * (low ? -4.0 : rear ? -1.0 : 1.0) * along_hinge_mm;
      place_[i] = motion.point + along_mm * *motion.direction;
    }
    place_[i]->by_inputs.block<3, 3>(0, plan_.play(i)) += Matrix3d::Identity();
    widen(plan_.play(i), own_sigma_mm(recipe.way).x());
    add_motion_play(i, along_mm, axes_.vehicle_from_network().rotation.conjugate().toRotationMatrix());
  }
}

void Locator::find_origin() {
  const auto wheel = index_of("wheel_centre");
  if (!wheel || !place_[*wheel])
    throw Problem(ProblemKind::refused, "wheel_centre has no tag, and the vehicle axes start from it.",
                  "Give [hardpoint.wheel_centre] a tag on the hub.");
  axes_.set_origin(*place_[*wheel], question_.side == Side::left ? 1.0 : -1.0);
}

// Before anything is held against what was measured in the car's axes.
void Locator::widen_half_track() {
  const ReadingsInput input{network_, question_, axes_, covariance_, *place_[*index_of("wheel_centre")]};
  for (const RideHeightReading& reading : ride_height_readings(input, ways_))
    if (reading.height == question_.reference_height) axes_.widen_half_track(reading.above_mm);
  covariance_.diagonal().segment<VehicleAxes::own_inputs>(plan_.axes()) = axes_.own_sigma().cwiseAbs2();
}

std::string Locator::what_motion_adds(std::size_t index) const {
  if (!motion_[index]) return "";
  if (!from_motion_alone_[index]) return ", with motion";
  return on_line_only(index) ? ", which tells a line: where on it is arbitrary" : "";
}

Traced Locator::in_vehicle(std::size_t index) const {
  if (place_[index]) return axes_.point(*place_[index]);
  Traced point{std::get<ByHand>(question_.hardpoints[index].way).position_vehicle_mm,
               MatrixXd::Zero(3, plan_.total())};
  point.by_inputs.block<3, 3>(0, plan_.own(index)).setIdentity();
  return point;
}

// A pivot that has a place of its own and one from motion: both are the same point, or lie on the same line.
void Locator::hold_to_motion(std::size_t index) {
  if (!motion_[index]) return;
  const MotionPlace& motion = *motion_[index];
  if (from_motion_alone_[index]) return;
  const Traced own = in_vehicle(index);
  Traced moved = axes_.point(motion.point);
  const auto play = [&](Traced& point) {
    point.by_inputs.block<3, 3>(0, plan_.play(index)) += Matrix3d::Identity();
  };
  if (!motion.direction) {
    add_motion_play(index, 0.0, Matrix3d::Identity());
    play(moved);
    const Traced miss = own - moved;
    for (int k = 0; k < 3; ++k) rows_.add(miss.value[k], miss.by_inputs.row(k));
    widen(plan_.play(index), note_disagreement(index, "its tag and its motion", 3));
    return;
  }
  const Traced direction = axes_.direction(*motion.direction);
  const double along_mm = direction.value.dot(own.value - moved.value);
  moved = moved + along_mm * direction;
  add_motion_play(index, along_mm, Matrix3d::Identity());
  play(moved);
  const Traced miss = own - moved;
  const Across basis = across(direction.value);
  for (const Vector3d& side : {basis.first, basis.second})
    rows_.add(side.dot(miss.value), side.transpose() * miss.by_inputs);
  widen(plan_.play(index), note_disagreement(index, "its tag and its motion", 2));
}

// A strut's top mount lies on the axis that the tags on its tube give. Where it does not, the tube may be off
// as a whole, or aslant.
void Locator::hold_to_tube() {
  const auto low = index_of("strut_axis_low"), top = index_of("strut_top_mount");
  if (!low || !top || !std::holds_alternative<TagTube>(question_.hardpoints[*low].way)) return;
  const Traced direction =
      axes_.direction(ways_.tube_axis(question_.hardpoints[*low], plan_.own(*low)).direction);
  const Traced low_point = in_vehicle(*low), top_point = in_vehicle(*top);
  const double along_mm = direction.value.dot(top_point.value - low_point.value);
  const Traced miss = top_point - (low_point + along_mm * direction);
  const Across basis = across(direction.value);
  for (const Vector3d& side : {basis.first, basis.second})
    rows_.add(side.dot(miss.value), side.transpose() * miss.by_inputs);
  const double apart_mm = note_disagreement(*top, "its own place and the axis of the tube", 2);
  widen(plan_.tube(), apart_mm);
  widen(plan_.tube() + 3, apart_mm / std::max(1.0, std::abs(along_mm)));
}

// The inputs as all conditions so far hold them.
ConditionedInputs Locator::held() const {
  if (!rows_.empty()) return hold(rows_.all(), covariance_);
  return {Eigen::VectorXd::Zero(plan_.total()), covariance_};
}

void Locator::hold_to_tape() {
  for (std::size_t i = 0; i < question_.distances.size(); ++i) {
    const MeasuredDistance& tape = question_.distances[i];
    const auto from = index_of(tape.from), to = index_of(tape.to);
    if (!from || (!to && tape.to_tag < 0)) continue;
    if (const auto end = line_only_end(tape)) {
      located_.notes.push_back("The tape from " + tape.from + " to " + end_words(tape) +
                               " is left out: motion tells a line for " + *end +
                               ", and where on it is arbitrary. Give that one a tag as well.");
      continue;
    }
    const Traced to_vehicle = to ? in_vehicle(*to)
                                 : axes_.point(network_.centre(tape.to_tag, question_.reference_height,
                                                               "the distance to " + tape.from));
    const Traced out = to_vehicle - in_vehicle(*from);
    const Vector3d along = out.value.normalized();
    Eigen::RowVectorXd by_inputs = along.transpose() * out.by_inputs;
    by_inputs[plan_.distance(i)] -= 1.0;
    const double miss_mm = out.value.norm() - tape.length_mm;
    if (!contradicts(tape, miss_mm, by_inputs)) rows_.add(miss_mm, by_inputs);
  }
}

std::optional<std::string> Locator::line_only_end(const MeasuredDistance& tape) const {
  for (const std::string& end : {tape.from, tape.to})
    if (const auto index = index_of(end); index && on_line_only(*index)) return end;
  return std::nullopt;
}

// Held against all that is known without it. Tape or places, one is wrong, and which does not show: the
// places stay where they are, each less certain by as much.
bool Locator::contradicts(const MeasuredDistance& tape, double miss_mm, const Eigen::RowVectorXd& by_inputs) {
  const ConditionedInputs known = held();
  const double left_mm = miss_mm + by_inputs.dot(known.move);
  const double sigma_mm = std::sqrt((by_inputs * known.covariance * by_inputs.transpose()).value());
  if (std::abs(left_mm) <= doubtful_deviate * sigma_mm) return false;
  located_.notes.push_back(
      "The tape says " + length_words(tape.length_mm, 1) + " from " + tape.from + " to " + end_words(tape) +
      ", the photos " + length_words(tape.length_mm + left_mm, 1) +
      ": more apart than both allow, so the tape is left out, and what it joins counts as that much less "
      "certain. Measure again, and check the stand-offs.");
  for (const std::string& end : {tape.from, tape.to})
    if (const auto index = index_of(end)) widen(place_inputs(*index), std::abs(left_mm) - sigma_mm);
  return true;
}

// `move` and `covariance` are the inputs' once all that is known has been weighed.
void Locator::add_body_tags(const MatrixXd& points_by_inputs, const Eigen::VectorXd& move,
                            const MatrixXd& covariance) {
  const auto tags = static_cast<Index>(question_.body_tags.size());
  if (tags == 0) return;
  const Index points = points_by_inputs.rows();
  MatrixXd by_inputs(points + 3 * tags, plan_.total());
  by_inputs.topRows(points) = points_by_inputs;
  BodyTags& result = located_.hardpoints.body_tags;
  for (const int number : question_.body_tags) {
    const Traced centre = axes_.point(network_.centre(number, question_.reference_height, "a body tag"));
    by_inputs.middleRows<3>(points + 3 * static_cast<Index>(result.numbers.size())) = centre.by_inputs;
    result.numbers.push_back(number);
    result.centres_vehicle_mm.push_back(centre.value + centre.by_inputs * move);
  }
  result.covariance_mm2 = by_inputs.bottomRows(3 * tags) * covariance * by_inputs.transpose();
  const MatrixXd own = result.covariance_mm2.rightCols(3 * tags);
  result.covariance_mm2.rightCols(3 * tags) = 0.5 * (own + own.transpose());
}

void Locator::note_stated(const MatrixXd& points_by_inputs) {
  const MatrixXd by_inputs = rows_.empty()
                                 ? points_by_inputs
                                 : MatrixXd(points_by_inputs * held_by_inputs(rows_.all(), covariance_));
  const Index own = 3 * plan_.hardpoints, besides = VehicleAxes::own_inputs + plan_.distances;
  located_.by_stated.resize(by_inputs.rows(), own + besides);
  located_.by_stated << by_inputs.middleCols(plan_.own(0), own), by_inputs.middleCols(plan_.axes(), besides);
  located_.stated_covariance = MatrixXd::Zero(own + besides, own + besides);
  located_.stated_covariance.topLeftCorner(own, own) =
      covariance_.block(plan_.own(0), plan_.own(0), own, own);
  located_.stated_covariance.bottomRightCorner(besides, besides) =
      covariance_.block(plan_.axes(), plan_.axes(), besides, besides);
  located_.stated_besides = {
      {"the line along the car", own, 1},
      {axes_.rest_on_half_track() ? "the tape of half the track" : "where the car's middle lies", own + 1, 1},
      {"how level the floor tags lie", own + 2, 3},
      {"how level the body stood", own + 5, 2}};
  for (Index i = 0; i < plan_.distances; ++i) {
    const MeasuredDistance& tape = question_.distances[static_cast<std::size_t>(i)];
    located_.stated_besides.push_back(
        {"the distance from the " + workshop_words(tape.from) + " to " +
             (tape.to_tag < 0 ? "the " + workshop_words(tape.to) : end_words(tape)),
         own + VehicleAxes::own_inputs + i, 1});
  }
}

Located Locator::locate() {
  find_own_places();
  find_motion_places();
  find_origin();
  widen_half_track();
  const std::size_t count = question_.hardpoints.size();
  for (std::size_t i = 0; i < count; ++i) hold_to_motion(i);
  hold_to_tube();
  hold_to_tape();
  const ConditionedInputs known = held();
  located_.recipes = question_.hardpoints;
  HardpointSet& set = located_.hardpoints;
  set.side = question_.side;
  set.layout = question_.layout;
  MatrixXd by_inputs(3 * count, plan_.total());
  for (std::size_t i = 0; i < count; ++i) {
    const HardpointRecipe& recipe = question_.hardpoints[i];
    const Traced point = in_vehicle(i);
    set.points.push_back({recipe.name, point.value + point.by_inputs * known.move,
                          in_words(recipe.way) + what_motion_adds(i)});
    set.points.back().on_line_only = on_line_only(i);
    by_inputs.middleRows<3>(3 * static_cast<Index>(i)) = point.by_inputs;
  }
  set.covariance_mm2 = by_inputs * known.covariance * by_inputs.transpose();
  set.covariance_mm2 = 0.5 * (set.covariance_mm2 + set.covariance_mm2.transpose()).eval();
  note_open_directions(set);
  note_unchecked_tags();
  note_shallow_tags();
  located_.notes.insert(located_.notes.end(), axes_.notes().begin(), axes_.notes().end());
  check_sides(set);
  add_body_tags(by_inputs, known.move, known.covariance);
  located_.by_tags = by_inputs.leftCols(plan_.tags) * rigid_.by_tags;
  note_stated(by_inputs);
  located_.vehicle_from_network = axes_.vehicle_from_network();
  const ReadingsInput input{network_, question_, axes_, covariance_, *place_[*index_of("wheel_centre")]};
  const WheelReadings wheel = wheel_readings(input, ways_);
  located_.wheel = wheel.readings;
  located_.notes.insert(located_.notes.end(), wheel.notes.begin(), wheel.notes.end());
  located_.ride_height = ride_height_readings(input, ways_);
  for (const RideHeightReading& reading : located_.ride_height)
    if (reading.height == question_.reference_height)
      set.ride_height = RideHeightMiss{reading.above_mm, reading.sigma_mm};
  located_.centre_plane = axes_.centre_plane();
  if (axes_.rest_on_half_track()) located_.centre_plane.words += ". " + half_track_error_words();
  return std::move(located_);
}

}  // namespace pivotfix
