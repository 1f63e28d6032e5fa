// SPDX-License-Identifier: Apache-2.0
#include "locate/pointer.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "base/problem.h"
#include "base/units.h"

namespace pivotfix {

namespace {

using Eigen::Vector3d;

constexpr double largest_tip_sigma_mm = 0.5;
constexpr double largest_tip_residual_mm = 0.5;
constexpr double largest_touch_miss_mm = 1.5;
constexpr double least_photo_angle_rad = 15.0 * rad_per_deg;
constexpr std::size_t fewest_in_dent = 3, fewest_touches = 1;

// "touch 1" of "ride/touch 1".
std::string part_of(const std::string& set) {
  const std::size_t slash = set.find('/');
  return slash == std::string::npos ? set : set.substr(slash + 1);
}

double widest_angle_rad(const TracedNetwork& network, const Body& pointer, const std::string& set) {
  double widest = 0.0;
  for (const int number : pointer.tags)
    if (const int index = network.index_of(number, set); index >= 0)
      widest = std::max(widest, network.network().tags[index].widest_angle_rad);
  return widest;
}

void require_photos_from_two_sides(const TracedNetwork& network, const Body& pointer,
                                   const std::string& set) {
  const bool seen = std::any_of(pointer.tags.begin(), pointer.tags.end(),
                                [&](int number) { return network.index_of(number, set) >= 0; });
  if (!seen)
    throw Problem(
        ProblemKind::refused, "No tag of the pointer is in two photos of \"" + part_of(set) + "\".",
        "Add a photo of it with the same tags in view, from further round, with the stick held still.");
  const double angle = widest_angle_rad(network, pointer, set);
  if (angle >= least_photo_angle_rad) return;
  throw Problem(ProblemKind::refused,
                "The photos of the pointer in \"" + part_of(set) + "\" look from almost one direction (" +
                    format_fixed(deg_from_rad(angle), 0) + " degrees apart; " +
                    format_fixed(deg_from_rad(least_photo_angle_rad), 0) + " are needed).",
                "Add a photo of it from further round, with the stick held still.");
}

// The tags' alone; the user's figures have no part in the pointer.
Eigen::MatrixXd covariance_of_inputs(const TracedNetwork& network) {
  Eigen::MatrixXd inputs = Eigen::MatrixXd::Zero(network.inputs(), network.inputs());
  inputs.topLeftCorner(network.tag_inputs(), network.tag_inputs()) = network.network().tag_covariance;
  return inputs;
}

// Variance of the touches' mean, each axis, that the photos' noise does not explain.
double unexplained_variance_mm2(const TracedNetwork& network, const std::vector<Traced>& touches,
                                const Traced& mean) {
  const auto count = static_cast<double>(touches.size());
  if (touches.size() < 2) return 0.0;
  const Eigen::MatrixXd inputs = covariance_of_inputs(network);
  double squares_mm2 = 0.0;
  for (const Traced& touch : touches) {
    const Traced miss = touch - mean;
    squares_mm2 += miss.value.squaredNorm() - (miss.by_inputs * inputs * miss.by_inputs.transpose()).trace();
  }
  return std::max(0.0, squares_mm2 / (3.0 * (count - 1.0) * count));
}

// How well the stick's own tags tell where its tip is on it, whatever the network's datum: the best of them.
double tip_sigma_mm(const TracedNetwork& network, const Body& pointer, const std::string& set,
                    const SharedPoint& tip, const Eigen::MatrixXd& input_covariance) {
  double best_mm = std::numeric_limits<double>::infinity();
  for (const int number : pointer.tags) {
    if (network.index_of(number, set) < 0) continue;
    const TracedPose tag_from_network = network.tag(number, set, pointer.name).inverse();
    const Eigen::Matrix3d turn = tag_from_network.value.rotation.toRotationMatrix();
    const WeakDirection weak =
        weakest(tag_from_network * tip.point, input_covariance, turn * tip.open_mm2 * turn.transpose());
    best_mm = std::min(best_mm, weak.sigma_mm);
  }
  return best_mm;
}

// Why how the stick stood in `set` cannot be told from how it stood in `from`; none when it can.
std::optional<Problem> why_unusable(const TracedNetwork& network, const Body& pointer,
                                    const std::string& from, const std::string& set) {
  try {
    require_photos_from_two_sides(network, pointer, set);
    network.moved(pointer, from, set);
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    return problem;
  }
  return std::nullopt;
}

struct Positions {
  std::vector<std::string> usable{};
  std::vector<Problem> flaws{};  // of the others
};

Positions positions_seen_from(const std::string& from, const TracedNetwork& network, const Body& pointer,
                              const std::vector<std::string>& sets) {
  Positions positions;
  for (const std::string& set : sets) {
    if (const auto flaw = why_unusable(network, pointer, from, set))
      positions.flaws.push_back(*flaw);
    else
      positions.usable.push_back(set);
  }
  return positions;
}

// As seen from the one that shares tags with most others: the stick may have turned its other face.
Positions positions_in_dent(const TracedNetwork& network, const Body& pointer,
                            const std::vector<std::string>& sets) {
  Positions most;
  for (const std::string& from : sets)
    if (Positions seen = positions_seen_from(from, network, pointer, sets);
        seen.usable.size() > most.usable.size())
      most = std::move(seen);
  return most;
}

struct PositionWords {
  std::string one{};         // "touch"
  std::string what_rests{};  // on them
};

void keep_usable(Positions positions, std::size_t fewest, const PositionWords& words,
                 std::vector<std::string>& sets, std::vector<std::string>& notes) {
  const std::size_t usable = positions.usable.size();
  if (usable < fewest || usable == sets.size()) return;
  for (const Problem& flaw : positions.flaws)
    notes.push_back(flaw.what_happened() + " That " + words.one + " is left out; " + words.what_rests +
                    " rests on " + std::to_string(usable) + " of " + std::to_string(sets.size()) + ". " +
                    flaw.remedy());
  sets = std::move(positions.usable);
}

constexpr const char* tilt_it_more =
    "Add positions in the dent tilted to the other sides, 30 degrees or more.";

// Of what moves with the wheel motion asks for heights; a pointer is tilted.
SharedPoint shared_tip(const std::vector<RelativeMotion>& motions, const Eigen::Vector3d& near_mm,
                       const Eigen::MatrixXd& input_covariance) {
  try {
    return shared_point(motions, near_mm, input_covariance, "the pointer's tip");
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    throw Problem(ProblemKind::refused,
                  "The pointer was tilted too little, or one way only: nothing tells where its tip is.",
                  tilt_it_more);
  }
}

}  // namespace

std::vector<std::string> leave_out_unusable_positions(const TracedNetwork& network,
                                                      HardpointQuestion& question) {
  std::vector<std::string> notes;
  const auto pointer = std::find_if(question.bodies.begin(), question.bodies.end(),
                                    [](const Body& body) { return body.name == "pointer"; });
  if (pointer == question.bodies.end() || question.dent_sets.empty()) return notes;
  keep_usable(positions_in_dent(network, *pointer, question.dent_sets), fewest_in_dent,
              {"position in the dent", "the pointer's tip"}, question.dent_sets, notes);
  for (HardpointRecipe& recipe : question.hardpoints)
    if (auto* touches = std::get_if<Touches>(&recipe.way))
      keep_usable(positions_seen_from(question.dent_sets.front(), network, *pointer, touches->sets),
                  fewest_touches, {"touch", recipe.name}, touches->sets, notes);
  return notes;
}

PointerTip find_tip(const TracedNetwork& network, const Body& pointer,
                    const std::vector<std::string>& dent_sets) {
  std::vector<RelativeMotion> motions;
  if (dent_sets.size() >= fewest_in_dent)
    for (const std::string& set : dent_sets) {
      require_photos_from_two_sides(network, pointer, set);
      if (set != dent_sets.front()) motions.push_back({set, network.moved(pointer, dent_sets.front(), set)});
    }
  if (dent_sets.size() < fewest_in_dent)
    throw Problem(ProblemKind::refused,
                  "The pointer stands in the dent in " + std::to_string(dent_sets.size()) +
                      " positions; three are the least, six are good.",
                  "Keep its tip in the dent, tilt it to all sides, and take two photos of each position.");
  const Eigen::MatrixXd inputs = covariance_of_inputs(network);
  const SharedPoint shared = shared_tip(motions, network.middle_of(pointer, dent_sets.front()).value, inputs);
  const double by_noise_mm = tip_sigma_mm(network, pointer, dent_sets.front(), shared, inputs);
  const double widening = shared.check.widening;
  PointerTip tip{shared.point, dent_sets.front(), 0.0, widening * by_noise_mm,
                 std::sqrt(widening * widening - 1.0) * by_noise_mm};
  for (const RelativeMotion& motion : motions)
    tip.residual_mm += (motion.moved.value * tip.tip.value - tip.tip.value).squaredNorm();
  tip.residual_mm = std::sqrt(tip.residual_mm / static_cast<double>(motions.size()));
  if (by_noise_mm > largest_tip_sigma_mm)
    throw Problem(ProblemKind::refused,
                  "The pointer's tip is uncertain by " + format_fixed(by_noise_mm, 1) +
                      " mm: it was tilted too little, or one way only.",
                  tilt_it_more);
  if (tip.residual_mm > largest_tip_residual_mm)
    throw Problem(ProblemKind::refused,
                  "The pointer's tip did not stay in the dent: it moved by " +
                      format_fixed(tip.residual_mm, 2) + " mm.",
                  "Use a deeper dent, hold the tip down in it, and check that no tag of the stick is loose.");
  return tip;
}

Touched touched_point(const TracedNetwork& network, const Body& pointer, const PointerTip& tip,
                      const std::vector<std::string>& touch_sets, const std::string& what) {
  std::vector<Traced> touches;
  Touched result{{Vector3d::Zero(), Eigen::MatrixXd::Zero(3, network.inputs())}};
  const double share = 1.0 / static_cast<double>(touch_sets.size());
  for (const std::string& set : touch_sets) {
    require_photos_from_two_sides(network, pointer, set);
    touches.push_back(network.moved(pointer, tip.set, set) * tip.tip);
    result.point = result.point + share * touches.back();
  }
  for (std::size_t i = 0; i < touches.size(); ++i) {
    const double miss_mm = (touches[i].value - result.point.value).norm();
    if (miss_mm > largest_touch_miss_mm)
      throw Problem(ProblemKind::refused,
                    "The touches of " + what + " do not agree: \"" + part_of(touch_sets[i]) + "\" is " +
                        format_fixed(miss_mm, 1) + " mm from their mean.",
                    "Take that touch again, or leave it out of the job file.");
  }
  result.unexplained_sigma_mm = std::hypot(
      tip.unexplained_sigma_mm, std::sqrt(unexplained_variance_mm2(network, touches, result.point)));
  return result;
}

}  // namespace pivotfix
