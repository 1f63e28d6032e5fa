// SPDX-License-Identifier: Apache-2.0
#include "pool/pool.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "advice/recorded_height.h"
#include "base/checksum.h"
#include "base/problem.h"
#include "corner/corner.h"
#include "hardpoints/open_lines.h"
#include "pool/bare_contact.h"
#include "pool/car_points.h"
#include "pool/members.h"
#include "pool/oddness.h"
#include "pool/random_effects.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr std::size_t fewest_for_oddness = 4;

// As they come back from a file, so that a set and the same set out of a pool count alike; in order of
// checksum.
void bring_in_order(std::vector<PoolMember>& members) {
  for (PoolMember& member : members) {
    member.set = hardpoints_from_json(hardpoints_to_json(member.set), member.label);
    member.checksum = checksum_of(member.set);
  }
  std::sort(members.begin(), members.end(),
            [](const PoolMember& a, const PoolMember& b) { return a.checksum < b.checksum; });
}

// To the last digit of a spreadsheet, in which a set may come a second time.
bool same_points(const HardpointSet& one, const HardpointSet& other) {
  constexpr double same_mm = 1e-3;
  return std::all_of(one.points.begin(), one.points.end(), [&](const Hardpoint& point) {
    return (point.position_vehicle_mm - other.position_vehicle_mm(point.name)).cwiseAbs().maxCoeff() <
           same_mm;
  });
}

void check_each_once(const std::vector<PoolMember>& members) {
  for (auto one = members.begin(); one != members.end(); ++one)
    for (auto other = members.begin(); other != one; ++other)
      if (one->checksum == other->checksum || same_points(one->set, other->set))
        throw Problem(ProblemKind::refused,
                      "\"" + one->label + "\" and \"" + other->label + "\" are the same measurement.",
                      "Name each one once: counted twice, it would weigh twice.");
}

// In other units, or with exchanged joints, a car would spoil the mean of all.
void check_possible(const PoolMember& member) {
  try {
    make_corner(member.set);
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    throw Problem(ProblemKind::refused,
                  "\"" + member.label + "\" cannot be pooled: " + problem.what_happened(), problem.remedy());
  }
}

void check(const std::vector<PoolMember>& members, const PoolOptions& options) {
  if (members.size() < 2)
    throw Problem(ProblemKind::refused,
                  "A pool needs two cars or more, and there is " + std::to_string(members.size()) + ".",
                  "Name more hardpoint files.");
  const Layout layout = members.front().set.layout;
  for (const PoolMember& member : members) {
    if (member.set.layout != layout)
      throw Problem(ProblemKind::refused,
                    "\"" + member.label + "\" is a " + words_of(member.set.layout) + " corner, \"" +
                        members.front().label + "\" a " + words_of(layout) + " corner.",
                    "Pool cars of one chassis.");
    for (const std::string& name : hardpoint_names(layout))
      if (std::none_of(member.set.points.begin(), member.set.points.end(),
                       [&](const Hardpoint& point) { return point.name == name; }))
        throw Problem(ProblemKind::refused, "\"" + member.label + "\" has no " + name + ".",
                      "Measure it, or leave this car out.");
    if (member.set.covariance_mm2.size() == 0 && !(options.assumed_sigma_mm > 0.0))
      throw Problem(ProblemKind::refused,
                    "\"" + member.label + "\" has no uncertainties, so it cannot be weighed.",
                    "Give its hardpoints a sigma, or say what to assume: --sigma \"1 mm\".");
    check_possible(member);
  }
}

std::set<std::string> on_line_only_in_all(const std::vector<HardpointSet>& sets) {
  std::set<std::string> names = pivots_on_line_only(sets.front());
  for (const HardpointSet& set : sets) {
    const std::set<std::string> own = pivots_on_line_only(set);
    std::erase_if(names, [&](const std::string& name) { return !own.contains(name); });
  }
  return names;
}

void note_open_lines(const std::vector<HardpointSet>& sets, const std::set<std::string>& in_all,
                     std::vector<std::string>& notes) {
  std::set<std::string> in_some;
  for (const HardpointSet& set : sets) in_some.merge(pivots_on_line_only(set));
  std::erase_if(in_some, [&](const std::string& name) { return in_all.contains(name); });
  if (!in_some.empty())
    notes.push_back("Some cars tell only a line: " + listed(in_some) + ". Along it they have no say.");
  if (!in_all.empty())
    notes.push_back(
        "Known only as a line: " + listed(in_all) +
        ". Where on it the mean stands says nothing; uncertainty and what cars differ by are those "
        "across it.");
}

Side side_of(const std::vector<PoolMember>& members, const PoolOptions& options) {
  if (options.side) return *options.side;
  const bool all_right = std::all_of(members.begin(), members.end(),
                                     [](const PoolMember& member) { return member.set.side == Side::right; });
  return all_right ? Side::right : Side::left;
}

BareRodEnds rod_ends_of(const std::vector<PoolMember>& members, std::vector<HardpointSet>& sets) {
  std::vector<std::string> labels;
  std::vector<bool> said;
  for (const PoolMember& member : members) {
    labels.push_back(member.label);
    said.push_back(member.set.rod_end.has_value());
  }
  return bring_to_bare_contact(labels, said, sets);
}

// Along lines, of which cars tell no more, and along studs with unknown spacers.
std::vector<NoSay> directions_without_say(const std::vector<HardpointSet>& sets,
                                          const BareRodEnds& rod_ends) {
  std::vector<NoSay> directions = lines_among(sets);
  if (std::find(rod_ends.no_say.begin(), rod_ends.no_say.end(), true) != rod_ends.no_say.end()) {
    const std::vector<std::string>& names = hardpoint_names(sets.front().layout);
    directions.push_back({std::find(names.begin(), names.end(), "link_outer_joint") - names.begin(),
                          rod_ends.rod_end->stud_axis_vehicle,
                          rod_ends.no_say,
                          {}});
  }
  return directions;
}

struct Mean {
  std::vector<PointMean> points{};
  MatrixXd covariance_mm2{};  // of the mean
  MatrixXd one_more_mm2{};    // of one more car of the chassis, as the mean tells it
};

Mean mean_of(const std::vector<CarPoints>& cars, const std::vector<NoSay>& directions) {
  const Index size = cars.front().coordinates_mm.size();
  Mean mean;
  for (Index at = 0; at < size; at += 3) {
    std::vector<MeasuredPoint> places;
    for (const CarPoints& car : cars)
      places.push_back({car.coordinates_mm.segment<3>(at), car.covariance_mm2.block<3, 3>(at, at),
                        car.no_say[static_cast<std::size_t>(at / 3)]});
    mean.points.push_back(point_mean(places));
  }
  mean.covariance_mm2 = MatrixXd::Zero(size, size);
  for (std::size_t i = 0; i < cars.size(); ++i) {
    MatrixXd total = cars[i].covariance_mm2, shares = MatrixXd::Zero(size, size);
    for (Index at = 0; at < size; at += 3) {
      const PointMean& point = mean.points[static_cast<std::size_t>(at / 3)];
      total.diagonal().segment<3>(at).array() += point.tau2_for_uncertainty_mm2;
      shares.block<3, 3>(at, at) = point.shares[i];
    }
    mean.covariance_mm2 += shares * total * shares.transpose();
  }
  mean.covariance_mm2 = 0.5 * (mean.covariance_mm2 + mean.covariance_mm2.transpose()).eval();
  mean.one_more_mm2 = mean.covariance_mm2;
  for (Index c = 0; c < size; ++c)
    mean.one_more_mm2(c, c) += mean.points[static_cast<std::size_t>(c / 3)].tau2_for_uncertainty_mm2;
  for (const NoSay& direction : directions)
    if (direction.nobody_has_a_say())
      for (MatrixXd* covariance_mm2 : {&mean.covariance_mm2, &mean.one_more_mm2})
        close_along(direction.along, 3 * direction.pivot, *covariance_mm2);
  return mean;
}

// Which pivots differ from car to car (Holm, "A Simple Sequentially Rejective Multiple Test Procedure",
// Scandinavian Journal of Statistics 6, 1979).
void mark_those_that_differ(double false_alarms, std::vector<PooledPoint>& points) {
  std::vector<std::size_t> rarest_first(points.size());
  std::iota(rarest_first.begin(), rarest_first.end(), std::size_t{0});
  std::stable_sort(rarest_first.begin(), rarest_first.end(), [&](std::size_t a, std::size_t b) {
    return points[a].probability < points[b].probability;
  });
  for (std::size_t i = 0; i < points.size(); ++i) {
    PooledPoint& point = points[rarest_first[i]];
    if (point.probability * static_cast<double>(points.size() - i) > false_alarms) return;
    point.differs = true;
  }
}

std::vector<PooledPoint> pooled_points(const std::vector<CarPoints>& cars, const Mean& mean, Layout layout,
                                       double false_alarms) {
  std::vector<PooledPoint> points;
  for (const std::string& name : hardpoint_names(layout)) {
    const auto at = static_cast<Index>(3 * points.size());
    const PointMean& estimate = mean.points[points.size()];
    PooledPoint point{name};
    point.mean_mm = estimate.mean_mm;
    point.mean_sigma_mm = mean.covariance_mm2.diagonal().segment<3>(at).cwiseSqrt();
    point.scatter_mm = std::sqrt(estimate.tau2_mm2);
    point.scatter_low_mm = std::sqrt(estimate.tau2_low_mm2);
    point.scatter_high_mm = std::sqrt(estimate.tau2_high_mm2);
    point.probability = estimate.probability;
    double variance = 0.0;
    for (const CarPoints& car : cars) {
      variance += car.measuring_mm2(at / 3);
      point.cars.push_back({car.coordinates_mm.segment<3>(at) - point.mean_mm, car.sigma_mm.segment<3>(at)});
    }
    point.measuring_mm = std::sqrt(variance / static_cast<double>(cars.size()));
    points.push_back(point);
  }
  mark_those_that_differ(false_alarms, points);
  return points;
}

void add_odd_cars(const std::vector<CarPoints>& cars, const std::vector<NoSay>& directions,
                  const PoolOptions& options, Pool& pool) {
  pool.oddness_judged = cars.size() >= fewest_for_oddness;
  if (!pool.oddness_judged) return;
  VectorXd scatter_mm2(static_cast<Index>(pool.points.size()));
  for (std::size_t i = 0; i < pool.points.size(); ++i)
    scatter_mm2[static_cast<Index>(i)] = std::pow(pool.points[i].scatter_mm, 2);
  std::string checksums;
  for (const PoolMember& member : pool.members) checksums += member.checksum;
  const std::vector<CarOddness> judged =
      judge_oddness(cars, directions, scatter_mm2, options.draws, std::stoull(xxh64(checksums), nullptr, 16));
  for (std::size_t i = 0; i < judged.size(); ++i)
    if (judged[i].probability <= options.false_alarms)
      pool.odd.push_back({pool.members[i].label, judged[i].probability,
                          pool.points[static_cast<std::size_t>(judged[i].pivot)].name, judged[i].off_mm});
  std::stable_sort(pool.odd.begin(), pool.odd.end(),
                   [](const OddCar& a, const OddCar& b) { return a.probability < b.probability; });
}

// Toe is set on each car, like its spacers; camber is that of the cars on which it was read.
WheelSetting wheel_of(const std::vector<HardpointSet>& sets) {
  WheelSetting wheel{0.0, 0.0, 0.0, false, false};
  int read = 0;
  for (const HardpointSet& set : sets) {
    wheel.rim_diameter_mm = std::max(wheel.rim_diameter_mm, set.wheel.rim_diameter_mm);
    if (!set.wheel.camber_is_known) continue;
    wheel.camber_rad += set.wheel.camber_rad;
    wheel.camber_sigma_rad = std::hypot(wheel.camber_sigma_rad, set.wheel.camber_sigma_rad);
    ++read;
  }
  wheel.camber_is_known = read > 0;
  if (wheel.camber_is_known) {
    wheel.camber_rad /= read;
    wheel.camber_sigma_rad /= read;
  }
  return wheel;
}

// What belongs to one car, such as its spacers, is not pooled.
HardpointSet result_set(const Pool& pool, const std::vector<HardpointSet>& sets, const Mean& mean,
                        const std::set<std::string>& line_only, const BareRodEnds& rod_ends,
                        const PoolOptions& options) {
  HardpointSet result;
  result.side = sets.front().side;
  result.layout = sets.front().layout;
  result.title = "pool of " + std::to_string(sets.size()) + " cars";
  for (const PooledPoint& point : pool.points)
    result.points.push_back({point.name, point.mean_mm, "mean of " + std::to_string(sets.size()) + " cars",
                             line_only.contains(point.name)});
  result.covariance_mm2 = options.of_the_mean ? mean.covariance_mm2 : mean.one_more_mm2;
  result.wheel = wheel_of(sets);
  Vector3d rack_axis = Vector3d::Zero();
  for (const HardpointSet& set : sets) rack_axis += set.rack_axis_vehicle;
  result.rack_axis_vehicle = rack_axis.normalized();
  result.rod_end = rod_ends.rod_end;
  if (rod_ends.moved)
    result.points[result.index_of("link_outer_joint")].way += ", as without spacers between";
  result.record.method = std::string(pool_method) + (options.of_the_mean ? "; uncertainty of the mean"
                                                                         : "; uncertainty of one more car");
  for (const PoolMember& member : pool.members)
    result.record.files.push_back({member.label, member.checksum});
  result.other_fields_json = pool_fields(pool);
  return result;
}

}  // namespace

Pool pool(std::vector<PoolMember> members, const PoolOptions& options) {
  check(members, options);
  Pool result;
  result.false_alarms = options.false_alarms;
  bring_in_order(members);
  check_each_once(members);
  result.members = std::move(members);
  const Side side = side_of(result.members, options);
  std::vector<HardpointSet> sets;
  for (const PoolMember& member : result.members) {
    const AtRecordedHeight standing = at_recorded_height(member.set);
    if (!standing.words.empty()) result.notes.push_back(member.label + ": " + standing.words);
    sets.push_back(member.set.side == side ? standing.hardpoints : mirrored(standing.hardpoints));
  }
  const BareRodEnds rod_ends = rod_ends_of(result.members, sets);
  result.notes.insert(result.notes.end(), rod_ends.notes.begin(), rod_ends.notes.end());
  const std::set<std::string> line_only = on_line_only_in_all(sets);
  note_open_lines(sets, line_only, result.notes);
  std::vector<CarPoints> cars;
  for (const HardpointSet& set : sets) cars.push_back(car_points(set, options.assumed_sigma_mm));
  const std::vector<NoSay> directions = directions_without_say(sets, rod_ends);
  leave_out(directions, cars);
  const Mean mean = mean_of(cars, directions);
  result.points = pooled_points(cars, mean, sets.front().layout, options.false_alarms);
  add_odd_cars(cars, directions, options, result);
  result.result = result_set(result, sets, mean, line_only, rod_ends, options);
  return result;
}

}  // namespace pivotfix
