// SPDX-License-Identifier: Apache-2.0
#include "network/outliers.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"

namespace pivotfix {

namespace {

// Deviates of the standard normal distribution beyond which a sighting is no noise: chance exceeds 4.9 less
// than once in a million.
constexpr double outlier_deviate = 4.9;

// A sum of `freedom` squared standard deviates as one standard deviate: its cube root is nearly normal
// (Wilson and Hilferty, "The Distribution of Chi-Square", Proceedings of the National Academy of Sciences 17,
// 1931).
double normal_deviate(double squares, double freedom) {
  const double spread = 2.0 / (9.0 * freedom);
  return (std::cbrt(squares / freedom) - (1.0 - spread)) / std::sqrt(spread);
}

std::string misfit_words(double miss_px, double deviate) {
  return "does not fit: its centre is " + format_fixed(miss_px, 2) + " px off, " + format_fixed(deviate, 1) +
         " standard deviations (" + format_fixed(outlier_deviate, 1) + " allowed)";
}

}  // namespace

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
  const auto middle = ratios.begin() + static_cast<std::ptrdiff_t>(ratios.size() / 2);
  std::nth_element(ratios.begin(), middle, ratios.end());
  constexpr double chi_square_median = 0.918;  // of 8 degrees of freedom, over 8
  return std::sqrt(*middle / chi_square_median);
}

int reject_outliers(StartedBundle& started, const BundleCovariance& found, double noise_scale) {
  Bundle& bundle = started.bundle;
  const double noise = std::max(found_noise_robust(bundle, found), 1.0 / noise_scale);
  std::vector<std::pair<double, std::size_t>> suspects;
  std::vector<int> of_target(bundle.targets.size());
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    if (bundle.observations[i].rejected) continue;
    ++of_target[bundle.observations[i].target];
    if (found.observation_redundancy[i] < 0.5) continue;
    const double deviate =
        normal_deviate(found.observation_square[i] / (noise * noise), found.observation_redundancy[i]);
    if (deviate > outlier_deviate) suspects.emplace_back(deviate, i);
  }
  std::sort(suspects.rbegin(), suspects.rend());
  // One that fits badly spoils its neighbours in the photo and of the tag: only the worst of each goes. A tag
  // that was moved spoils many photos at once, grossly; up to a quarter of its sightings go together.
  constexpr double gross = 3.0 * outlier_deviate;
  std::vector<int> in_photo(bundle.stations.size()), of_tag(bundle.targets.size());
  int count = 0;
  for (const auto& [deviate, i] : suspects) {
    const BundleObservation& observation = bundle.observations[i];
    const int most_of_tag = deviate > gross ? std::max(1, of_target[observation.target] / 4) : 1;
    if (in_photo[observation.station] >= 1 || of_tag[observation.target] >= most_of_tag) continue;
    ++in_photo[observation.station];
    ++of_tag[observation.target];
    started.reject(i, misfit_words(centre_miss_px(bundle, observation), deviate), true);
    ++count;
  }
  return count;
}

int readmit_innocent(StartedBundle& started) {
  Bundle& bundle = started.bundle;
  int count = 0;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    const BundleObservation& observation = bundle.observations[i];
    if (!started.used[i].suspected) continue;
    const double square =
        (observation.square_root_information * residuals_px(bundle, observation)).squaredNorm();
    if (normal_deviate(square, static_cast<double>(observation.square_root_information.rows())) >
        outlier_deviate)
      continue;
    started.readmit(i);
    ++count;
  }
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
      started.reject(i, of_target[observation.target] < 2 ? "no other photo that fits shows this tag"
                                                          : "is the only tag of this photo that fits");
      changed = true;
    }
  }
}

}  // namespace pivotfix
