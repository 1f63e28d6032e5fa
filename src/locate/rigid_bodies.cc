// SPDX-License-Identifier: Apache-2.0
#include "locate/rigid_bodies.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/chance.h"
#include "locate/conditions.h"
#include "locate/traced.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// Beyond this, a tag has slipped: chance explains the misses less than once in ten thousand.
constexpr double slipped_deviate = 3.7;

TracedPose traced_tag(const Network& network, int index) {
  TracedPose pose{network.tags[index].network_from_tag,
                  MatrixXd::Zero(6, 6 * static_cast<Index>(network.tags.size()))};
  pose.by_inputs.block<6, 6>(0, 6 * index).setIdentity();
  return pose;
}

// One body's shape and its pose in each set, along the shortest chain of tags that sets share; the body's
// frame is the network's as the body stands in its best seen set.
struct BodyInSets {
  std::map<int, TracedPose> body_from_tag{};
  std::map<std::string, TracedPose> network_from_body{};
  std::vector<int> left_over{};  // indices of tags in the network that the chain did not need
};

std::vector<int> tags_of_body(const Network& network, const Body& body) {
  std::vector<int> indices;
  for (std::size_t i = 0; i < network.tags.size(); ++i)
    if (!network.tags[i].set.empty() &&
        std::count(body.tags.begin(), body.tags.end(), network.tags[i].number) > 0)
      indices.push_back(static_cast<int>(i));
  return indices;
}

std::string best_seen_set(const Network& network, const std::vector<int>& indices) {
  std::map<std::string, int> tags;
  for (const int index : indices) ++tags[network.tags[index].set];
  return std::max_element(tags.begin(), tags.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

BodyInSets chain(const Network& network, const std::vector<int>& indices) {
  BodyInSets body;
  if (indices.empty()) return body;
  const Index inputs = 6 * static_cast<Index>(network.tags.size());
  body.network_from_body[best_seen_set(network, indices)] = TracedPose::identity(inputs);
  std::vector<int> waiting = indices;
  for (bool changed = true; changed;) {
    changed = false;
    std::vector<int> next;
    // All tags of the sets that stand, before any further set: chains stay short.
    for (const bool placing_tags : {true, false}) {
      next.clear();
      for (const int index : waiting) {
        const TagInSpace& tag = network.tags[index];
        const auto pose = body.network_from_body.find(tag.set);
        const auto shape = body.body_from_tag.find(tag.number);
        const bool has_pose = pose != body.network_from_body.end();
        const bool has_shape = shape != body.body_from_tag.end();
        if (has_pose && has_shape) {
          body.left_over.push_back(index);
        } else if (has_pose && placing_tags) {
          body.body_from_tag[tag.number] = pose->second.inverse() * traced_tag(network, index);
          changed = true;
        } else if (has_shape && !placing_tags) {
          body.network_from_body[tag.set] = traced_tag(network, index) * shape->second.inverse();
          changed = true;
        } else {
          next.push_back(index);
        }
      }
      waiting = next;
    }
  }
  std::sort(body.left_over.begin(), body.left_over.end());
  return body;
}

// Six rows for each left-over tag: where it is against where the body says.
Conditions conditions_of(const Network& network, const BodyInSets& body) {
  const auto count = static_cast<Index>(body.left_over.size());
  Conditions conditions{VectorXd(6 * count), {}, MatrixXd(6 * count, 6 * network.tags.size())};
  for (Index i = 0; i < count; ++i) {
    const TagInSpace& tag = network.tags[body.left_over[i]];
    const TracedPose said = body.network_from_body.at(tag.set) * body.body_from_tag.at(tag.number);
    const TracedPose seen = traced_tag(network, body.left_over[i]);
    const Eigen::AngleAxisd turn(seen.value.rotation * said.value.rotation.conjugate());
    conditions.miss.segment<3>(6 * i) = seen.value.translation_mm - said.value.translation_mm;
    conditions.miss.segment<3>(6 * i + 3) = turn.angle() * turn.axis();
    conditions.by_inputs.middleRows<6>(6 * i) = seen.by_inputs - said.by_inputs;
  }
  return conditions;
}

Conditions stacked(const std::vector<Conditions>& parts, Index inputs) {
  Index rows = 0;
  for (const Conditions& part : parts) rows += part.miss.size();
  Conditions all{VectorXd(rows), {}, MatrixXd(rows, inputs)};
  rows = 0;
  for (const Conditions& part : parts) {
    all.miss.segment(rows, part.miss.size()) = part.miss;
    all.by_inputs.middleRows(rows, part.miss.size()) = part.by_inputs;
    rows += part.miss.size();
  }
  return all;
}

void move_tags(const VectorXd& move, Network& network) {
  for (std::size_t i = 0; i < network.tags.size(); ++i) {
    RigidTransform& pose = network.tags[i].network_from_tag;
    pose.translation_mm += move.segment<3>(6 * i);
    pose.rotation = turned_by(move.segment<3>(6 * i + 3), pose.rotation);
  }
}

// The tag whose own misses are least likely.
int worst_tag(const Network& network, const BodyInSets& body, const Conditions& conditions) {
  std::map<int, double> worst;
  for (std::size_t i = 0; i < body.left_over.size(); ++i) {
    const MatrixXd rows = conditions.by_inputs.middleRows<6>(6 * i);
    const Eigen::Matrix<double, 6, 6> spread = rows * network.tag_covariance * rows.transpose();
    const Eigen::Matrix<double, 6, 1> miss = conditions.miss.segment<6>(6 * i);
    worst[network.tags[body.left_over[i]].number] += miss.dot(spread.ldlt().solve(miss)) / 6.0;
  }
  return std::max_element(worst.begin(), worst.end(),
                          [](const auto& a, const auto& b) { return a.second < b.second; })
      ->first;
}

BodyFit plain_fit_of(const Network& network, const Body& body) {
  BodyFit fit;
  fit.name = body.name;
  const BodyInSets in_sets = chain(network, tags_of_body(network, body));
  const Conditions conditions = conditions_of(network, in_sets);
  if (conditions.miss.size() == 0) return fit;
  const ConditionedInputs held = hold(conditions, network.tag_covariance);
  fit.chi_square = held.chi_square;
  fit.freedom = held.freedom;
  fit.worst_tag = worst_tag(network, in_sets, conditions);
  fit.doubtful = normal_deviate(fit.chi_square, fit.freedom) > slipped_deviate;
  return fit;
}

Body without(const Body& body, int tag) {
  Body rest = body;
  std::erase(rest.tags, tag);
  return rest;
}

// The tag without which the others fit, and fit best; -1 when there is none.
int slipped_tag(const Network& network, const Body& body) {
  int slipped = -1;
  double least_deviate = slipped_deviate;
  for (const int tag : body.tags) {
    const BodyFit rest = plain_fit_of(network, without(body, tag));
    if (rest.freedom == 0) continue;  // nothing is left to tell
    const double deviate = normal_deviate(rest.chi_square, rest.freedom);
    if (deviate > least_deviate) continue;
    least_deviate = deviate;
    slipped = tag;
  }
  return slipped;
}

// Independent errors of the body's tags, 1 mm in place and 1 mm along the tag's side in turn, in each set.
// Isotropic, so that no axes and no datum matter.
VectorXd slack_of_one_mm(const Network& network, const Body& body) {
  VectorXd variances = VectorXd::Zero(network.tag_covariance.rows());
  for (const int index : tags_of_body(network, body)) {
    constexpr double usual_side_mm = 40.0;
    const double side_mm = network.tags[index].side_mm > 0.0 ? network.tags[index].side_mm : usual_side_mm;
    variances.segment<3>(6 * index).setOnes();
    variances.segment<3>(6 * index + 3).setConstant(1.0 / (side_mm * side_mm));
  }
  return variances;
}

// By which the misses are as large as they should be, by halving its logarithm's interval.
double slack_mm(const Network& network, const Body& body) {
  const Conditions conditions = conditions_of(network, chain(network, tags_of_body(network, body)));
  const MatrixXd stated = conditions.by_inputs * network.tag_covariance * conditions.by_inputs.transpose();
  const MatrixXd of_one_mm =
      conditions.by_inputs * slack_of_one_mm(network, body).asDiagonal() * conditions.by_inputs.transpose();
  double low = std::log(1e-4), high = std::log(100.0);
  for (int i = 0; i < 40; ++i) {
    const double middle = 0.5 * (low + high);
    const MatrixXd spread = stated + std::exp(2.0 * middle) * of_one_mm;
    const double squares = conditions.miss.dot(spread.ldlt().solve(conditions.miss));
    (squares > static_cast<double>(conditions.miss.size()) ? low : high) = middle;
  }
  return std::exp(high);
}

BodyFit fit_of(const Network& network, const Body& body) {
  BodyFit fit = plain_fit_of(network, body);
  if (!fit.doubtful) return fit;
  fit.slipped_tag = slipped_tag(network, body);
  if (fit.slipped_tag >= 0)
    fit.worst_tag = fit.slipped_tag;
  else
    fit.slack_mm = slack_mm(network, body);
  return fit;
}

// Adds the tags that a set does not show but whose body stands in it.
void add_hidden_tags(const std::vector<BodyInSets>& bodies, RigidNetwork& rigid) {
  Network& network = rigid.network;
  const Index before = network.tag_covariance.rows();
  std::vector<std::pair<TagInSpace, MatrixXd>> all;
  for (std::size_t i = 0; i < network.tags.size(); ++i)
    all.emplace_back(network.tags[i], traced_tag(network, static_cast<int>(i)).by_inputs);
  for (const BodyInSets& body : bodies)
    for (const auto& [set, network_from_body] : body.network_from_body)
      for (const auto& [number, body_from_tag] : body.body_from_tag) {
        const int there = network.index_of_tag(number, set);
        if (there >= 0 && network.tags[there].set == set) continue;
        const TracedPose pose = network_from_body * body_from_tag;
        TagInSpace tag;
        tag.number = number;
        tag.set = set;
        tag.network_from_tag = pose.value;
        all.emplace_back(tag, pose.by_inputs);
      }
  if (all.size() == network.tags.size()) return;
  std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) {
    return PlacedTag{a.first.number, a.first.set} < PlacedTag{b.first.number, b.first.set};
  });
  MatrixXd by_before(6 * all.size(), before);
  network.tags.clear();
  for (std::size_t i = 0; i < all.size(); ++i) {
    network.tags.push_back(all[i].first);
    by_before.middleRows<6>(6 * i) = all[i].second;
  }
  network.tag_covariance = by_before * network.tag_covariance * by_before.transpose();
  rigid.by_tags = (by_before * rigid.by_tags).eval();
}

}  // namespace

RigidNetwork with_rigid_bodies(const Network& network, const std::vector<Body>& bodies) {
  const Index inputs = network.tag_covariance.rows();
  RigidNetwork result{network, MatrixXd::Identity(inputs, inputs), {}, bodies};
  MatrixXd covariance = network.tag_covariance;
  for (Body& body : result.bodies) {
    const BodyFit fit = fit_of(network, body);
    if (fit.slipped_tag >= 0) body = without(body, fit.slipped_tag);
    if (fit.slack_mm > 0.0)
      covariance.diagonal() += fit.slack_mm * fit.slack_mm * slack_of_one_mm(network, body);
    result.fits.push_back(fit);
  }
  VectorXd moved = VectorXd::Zero(inputs);
  MatrixXd left = covariance;
  // The conditions are not linear in the turns, which are small: the second round only polishes.
  for (const bool first_round : {true, false}) {
    std::vector<Conditions> parts;
    for (const Body& body : result.bodies)
      parts.push_back(
          conditions_of(result.network, chain(result.network, tags_of_body(result.network, body))));
    Conditions all = stacked(parts, inputs);
    if (all.miss.size() == 0) break;
    all.miss -= all.by_inputs * moved;
    const ConditionedInputs held = hold(all, covariance);
    move_tags(held.move - moved, result.network);
    moved = held.move;
    left = held.covariance;
    if (!first_round) result.by_tags = held_by_inputs(all, covariance);
  }
  result.network.tag_covariance = left;
  std::vector<BodyInSets> in_sets;
  for (const Body& body : result.bodies)
    in_sets.push_back(chain(result.network, tags_of_body(result.network, body)));
  add_hidden_tags(in_sets, result);
  return result;
}

}  // namespace pivotfix
