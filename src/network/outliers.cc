// SPDX-License-Identifier: Apache-2.0
#include "network/outliers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <compare>

#include "base/chance.h"
#include "base/median.h"
#include "base/units.h"

namespace pivotfix {

namespace {

std::string misfit_words(double miss_px, double deviate) {
  return "does not fit: its centre is " + format_fixed(miss_px, 2) + " px off, " + format_fixed(deviate, 1) +
         " standard deviations (" + format_fixed(outlier_deviate, 1) + " allowed)";
}

// What is left of a tag's residuals without what is common to its corners and without what a camera's tone
// curve does to its edges, which moves them along its two directions: how far the worst corner is off a
// square.
double shape_miss_px(const BundleObservation& observation, const Eigen::VectorXd& miss_px) {
  constexpr std::array<double, 4> along_first{-1, 1, 1, -1}, along_second{-1, -1, 1, 1};
  Eigen::Matrix<double, 8, 4> common;
  for (int i = 0; i < 4; ++i) {
    const Eigen::Vector2d first = observation.points_px[1] - observation.points_px[0];
    const Eigen::Vector2d second = observation.points_px[3] - observation.points_px[0];
    common.middleRows<2>(2 * i) << Eigen::Matrix2d::Identity(), along_first[i] * first.normalized(),
        along_second[i] * second.normalized();
  }
  // The columns are orthogonal: signs cancel.
  for (int k = 0; k < 4; ++k) common.col(k).normalize();
  const Eigen::VectorXd left = miss_px - common * (common.transpose() * miss_px);
  double worst = 0.0;
  for (int i = 0; i < 4; ++i) worst = std::max(worst, left.segment<2>(2 * i).norm());
  return worst;
}

// Too small a misfit to be a fault, however precise the edges are.
bool is_tolerated(const StartedBundle& started, const BundleObservation& observation) {
  constexpr double shape_share = 2.0 / 3.0;  // a lens errs less across a tag than across the picture
  constexpr double most_outwards_px = 3.0;   // three standard deviations of the common move of edges
  const double limit_px = tolerated_miss_px(started, observation);
  const Eigen::VectorXd miss_px = residuals_px(started.bundle, observation);
  return miss_px.size() == 8 && centre_miss_px(started.bundle, observation) < limit_px &&
         shape_miss_px(observation, miss_px) < shape_share * limit_px &&
         miss_px.cwiseAbs().maxCoeff() < most_outwards_px;
}

struct Suspect {
  double deviate = 0.0;
  std::size_t observation = 0;
  // NOLINTNEXTLINE(modernize-use-nullptr): the zero is the operator's own
  auto operator<=>(const Suspect&) const = default;
};

// Worst first.
std::vector<Suspect> find_suspects(const StartedBundle& started, const BundleCovariance& found,
                                   double noise_scale) {
  const Bundle& bundle = started.bundle;
  const double noise = std::max(found_noise_robust(bundle, found), 1.0 / noise_scale);
  std::vector<Suspect> suspects;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    if (bundle.observations[i].rejected || found.observation_redundancy[i] < 0.5) continue;
    const double deviate =
        normal_deviate(found.observation_square[i] / (noise * noise), found.observation_redundancy[i]);
    if (deviate > outlier_deviate && !is_tolerated(started, bundle.observations[i]))
      suspects.push_back({deviate, i});
  }
  std::sort(suspects.rbegin(), suspects.rend());
  return suspects;
}

// Of photos most of whose sightings are suspects, the one that deviates most; -1: none. What is wrong with a
// photo as a whole (something had moved, a hand shook) would else cost the tags it shows their good
// sightings.
int photo_at_odds(const StartedBundle& started, const std::vector<Suspect>& suspects) {
  constexpr int fewest = 3;
  const Bundle& bundle = started.bundle;
  std::vector<int> left(bundle.stations.size()), odd(bundle.stations.size());
  std::vector<double> deviates(bundle.stations.size());
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    if (!bundle.observations[i].rejected) ++left[bundle.observations[i].station];
    if (started.used[i].suspected()) ++odd[bundle.observations[i].station];
  }
  std::vector<int> all(bundle.stations.size());
  for (std::size_t i = 0; i < all.size(); ++i) all[i] = left[i] + odd[i];
  for (const Suspect& suspect : suspects) {
    const int station = bundle.observations[suspect.observation].station;
    ++odd[station];
    deviates[station] += suspect.deviate;
  }
  int worst = -1;
  for (std::size_t i = 0; i < all.size(); ++i)
    if (left[i] > 0 && odd[i] >= fewest && 2 * odd[i] > all[i] &&
        (worst < 0 || deviates[i] / all[i] > deviates[worst] / all[worst]))
      worst = static_cast<int>(i);
  return worst;
}

int reject_photo(StartedBundle& started, int station) {
  int count = 0;
  for (std::size_t i = 0; i < started.used.size(); ++i) {
    const BundleObservation& observation = started.bundle.observations[i];
    if (observation.station != station) continue;
    if (started.used[i].suspected()) started.used[i].fate = Fate::misfits_with_photo;
    if (observation.rejected) continue;
    started.reject(i, "its photo as a whole does not fit the others", Fate::misfits_with_photo);
    ++count;
  }
  return count;
}

}  // namespace

double tolerated_miss_px(const StartedBundle& started, const BundleObservation& observation) {
  constexpr double of_picture = 1.5e-4, times_usual = 4.0;
  const CameraDescription& camera = started.groups[started.bundle.stations[observation.station].lens].camera;
  return std::max(of_picture * std::max(camera.width_px, camera.height_px),
                  times_usual * started.usual_miss_px);
}

void note_usual_miss(StartedBundle& started) {
  constexpr double rayleigh_median = 1.1774;  // of the length of two standard deviates
  std::vector<double> misses_px;
  for (const BundleObservation& observation : started.bundle.observations)
    if (!observation.rejected) misses_px.push_back(centre_miss_px(started.bundle, observation));
  started.usual_miss_px = misses_px.empty() ? 0.0 : median(misses_px) / rayleigh_median;
}

double centre_miss_px(const Bundle& bundle, const BundleObservation& observation) {
  const Eigen::VectorXd miss = residuals_px(bundle, observation);
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  for (int i = 0; i < 4; ++i) mean += 0.25 * miss.segment<2>(2 * i);
  return mean.norm();
}

double found_noise_robust(const Bundle& bundle, const BundleCovariance& found) {
  std::vector<double> ratios;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i)
    if (!bundle.observations[i].rejected && found.observation_redundancy[i] > 0.5)
      ratios.push_back(found.observation_square[i] / found.observation_redundancy[i]);
  if (ratios.empty()) return 1.0;
  constexpr double chi_square_median = 0.918;  // of 8 degrees of freedom, over 8
  return std::sqrt(median(ratios) / chi_square_median);
}

int reject_outliers(StartedBundle& started, const BundleCovariance& found, double noise_scale) {
  Bundle& bundle = started.bundle;
  const std::vector<Suspect> suspects = find_suspects(started, found, noise_scale);
  if (const int station = photo_at_odds(started, suspects); station >= 0)
    return reject_photo(started, station);
  std::vector<int> of_target(bundle.targets.size());
  for (const BundleObservation& observation : bundle.observations)
    if (!observation.rejected) ++of_target[observation.target];
  // One that fits badly spoils its neighbours in the photo and of the tag: only the worst of each goes. A tag
  // that was moved spoils many photos at once, grossly; up to a quarter of its sightings go together.
  constexpr double gross = 3.0 * outlier_deviate;
  std::vector<int> in_photo(bundle.stations.size()), of_tag(bundle.targets.size());
  int count = 0;
  for (const auto& [deviate, i] : suspects) {
    const BundleObservation& observation = bundle.observations[i];
    const int most_of_tag = deviate > gross ? std::max(1, of_target[observation.target] / 4) : 1;
    if (of_tag[observation.target] >= most_of_tag) continue;
    ++of_tag[observation.target];  // one that waits for its photo bends its tag as well
    if (in_photo[observation.station] >= 1) continue;
    ++in_photo[observation.station];
    started.reject(i, misfit_words(centre_miss_px(bundle, observation), deviate), Fate::misfits);
    ++count;
  }
  return count;
}

std::vector<bool> photos_at_odds(const StartedBundle& started) {
  std::vector<bool> at_odds(started.bundle.stations.size());
  for (std::size_t i = 0; i < started.used.size(); ++i)
    if (started.used[i].fate == Fate::misfits_with_photo)
      at_odds[started.bundle.observations[i].station] = true;
  for (const BundleObservation& observation : started.bundle.observations)
    if (!observation.rejected) at_odds[observation.station] = false;
  return at_odds;
}

int readmit_innocent(StartedBundle& started) {
  Bundle& bundle = started.bundle;
  int count = 0;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    const BundleObservation& observation = bundle.observations[i];
    if (!started.used[i].suspected()) continue;
    const double square =
        (observation.square_root_information * residuals_px(bundle, observation)).squaredNorm();
    if (normal_deviate(square, static_cast<double>(observation.square_root_information.rows())) >
            outlier_deviate &&
        !is_tolerated(started, observation))
      continue;
    started.readmit(i);
    ++count;
  }
  // Whose partner came back is loose no more; the next tidying drops the others again.
  if (count > 0)
    for (std::size_t i = 0; i < started.used.size(); ++i)
      if (started.used[i].fate == Fate::loose_end) started.readmit(i);
  return count;
}

void drop_loose_ends(StartedBundle& started) {
  Bundle& bundle = started.bundle;
  for (bool changed = true; changed;) {
    changed = false;
    std::vector<int> of_station(bundle.stations.size()), of_target(bundle.targets.size());
    for (const BundleObservation& observation : bundle.observations) {
      if (observation.rejected) continue;
      ++of_station[observation.station];
      ++of_target[observation.target];
    }
    for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
      const BundleObservation& observation = bundle.observations[i];
      if (observation.rejected) continue;
      if (of_station[observation.station] >= 2 && of_target[observation.target] >= 2) continue;
      started.reject(i,
                     of_target[observation.target] < 2 ? "no other photo that fits shows this tag"
                                                       : "is the only tag of this photo that fits",
                     Fate::loose_end);
      changed = true;
    }
  }
}

}  // namespace pivotfix
