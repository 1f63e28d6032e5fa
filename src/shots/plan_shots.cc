// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "hardpoints/workshop_words.h"
#include "shots/by_hand.h"
#include "shots/candidates.h"
#include "shots/weak.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;

// What is wanted, as rows over the points' coordinates and over the network's joint covariance, and how
// uncertain it is now.
struct Wanted {
  std::string words{};
  MatrixXd by_points{};
  MatrixXd by_joint{};
  double variance_mm2 = 0.0;
};

Wanted wanted(const std::string& words, const MatrixXd& by_points, double variance_mm2,
              const ShotQuestion& question) {
  const MatrixXd by_tags = by_points * question.located.by_tags;
  MatrixXd by_joint = MatrixXd::Zero(by_tags.rows(), question.network.joint_covariance.cols());
  by_joint.leftCols(by_tags.cols()) = by_tags;
  return {words, by_points, by_joint, variance_mm2};
}

Wanted wanted_height(const ShotQuestion& question) {
  const Advice& advice = *question.advice;
  MatrixXd by_points = MatrixXd::Zero(1, question.located.by_tags.rows());
  for (const HeightShare& share : advice.shares)
    by_points(0, 3 * static_cast<Index>(share.point) + share.coordinate) = share.mm_per_mm;
  return wanted("the best height of the rod end", by_points,
                advice.best_height_change_mm.sigma * advice.best_height_change_mm.sigma, question);
}

Wanted wanted_point(const ShotQuestion& question) {
  const HardpointSet& set = question.located.hardpoints;
  const Index weakest = 3 * static_cast<Index>(weakest_point(set));
  MatrixXd by_points = MatrixXd::Zero(3, question.located.by_tags.rows());
  by_points.middleCols<3>(weakest).setIdentity();
  return wanted("the place of the " + workshop_words(set.points[weakest_point(set)].name), by_points,
                set.covariance_mm2.block<3, 3>(weakest, weakest).trace(), question);
}

bool height_is_known(const ShotQuestion& question) {
  return question.advice && question.advice->found && !question.advice->shares.empty() &&
         question.advice->best_height_change_mm.sigma > 0.0;
}

bool already_stood_at(const Shot& shot, const std::vector<Shot>& chosen) {
  constexpr double same_place_mm = 300.0;
  return std::any_of(chosen.begin(), chosen.end(), [&](const Shot& other) {
    return (other.place_vehicle_mm - shot.place_vehicle_mm).norm() < same_place_mm;
  });
}

}  // namespace

ShotPlan plan_shots(const ShotQuestion& question) {
  ShotPlan plan;
  plan.weak = weak_places(question);
  plan.vehicle_from_network = question.located.vehicle_from_network;
  for (const TagInSpace& tag : question.network.tags)
    if (!tag.set.empty() && tag.set != question.set) plan.set = question.set;
  if (question.located.hardpoints.covariance_mm2.size() == 0) return plan;
  const Wanted wanted = height_is_known(question) ? wanted_height(question) : wanted_point(question);
  plan.wanted = wanted.words;
  plan.sigma_mm = std::sqrt(wanted.variance_mm2);
  plan.by_hand = measured_by_hand(question, wanted.by_points);
  const std::vector<Candidate> candidates = candidate_shots(question);
  std::vector<PhotoInformation> information;
  for (const Candidate& candidate : candidates)
    information.push_back(information_of(candidate.photo, question.network, question.edges));
  MatrixXd joint = question.network.joint_covariance;
  double from_photos = (wanted.by_joint * joint * wanted.by_joint.transpose()).trace();
  plan.photo_sigma_mm = std::sqrt(from_photos);
  const double from_hand = std::max(0.0, wanted.variance_mm2 - from_photos);
  while (static_cast<int>(plan.shots.size()) < question.most_shots) {
    std::size_t best = candidates.size();
    double best_drop = 0.0;
    for (std::size_t i = 0; i < candidates.size(); ++i) {
      if (already_stood_at(candidates[i].shot, plan.shots)) continue;
      const double drop = variance_drop(joint, information[i], wanted.by_joint).sum();
      if (drop <= best_drop) continue;
      best_drop = drop;
      best = i;
    }
    // Of the whole standard uncertainty: whoever walks there wants a surer answer, not surer photos.
    constexpr double worth_a_photo = 0.01;
    const double now = std::sqrt(from_hand + from_photos);
    const double after = std::sqrt(from_hand + from_photos - best_drop);
    if (best == candidates.size() || after > (1.0 - worth_a_photo) * now) break;
    from_photos -= best_drop;
    joint = covariance_with(joint, information[best]);
    plan.shots.push_back(candidates[best].shot);
    plan.shots.back().sigma_mm = after;
    plan.shots.back().photo_sigma_mm = std::sqrt(from_photos);
  }
  return plan;
}

}  // namespace pivotfix
