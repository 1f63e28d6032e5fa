// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"
#include "network/network.h"
#include "network/network_builder.h"

namespace pivotfix {

namespace {

constexpr int most_rounds = 12;
// A sighting's squared whitened residual over its redundancy beyond which it is no noise. Eight residuals:
// chance exceeds 5.4 less than once in a million (chi-square with 8 degrees of freedom).
constexpr double outlier_ratio = 5.4;
// Start of the photos' shifts before their spread is estimated, and what counts as none.
constexpr PhotoShift first_shift_sigma{3.0, 3.0, 1e-3};
constexpr PhotoShift least_shift_sigma{0.05, 0.05, 2e-5};

// Spread of the photos' shifts by variance components: squares over the degrees of freedom that the photos
// themselves determine (MacKay, "Bayesian Interpolation", Neural Computation 4, 1992, section 4).
PhotoShift estimate_shift_sigma(const Bundle& bundle, const BundleCovariance& found) {
  const auto component = [&](std::initializer_list<int> kinds, double least) {
    double squares = 0.0, determined = 0.0;
    for (std::size_t i = 0; i < bundle.stations.size(); ++i)
      for (const int kind : kinds) {
        const double prior = bundle.shift_sigma[kind] * bundle.shift_sigma[kind];
        const double left = found.shifts[i](kind, kind);
        if (left <= 0.0) continue;  // a photo that takes no part
        squares += bundle.stations[i].shift[kind] * bundle.stations[i].shift[kind];
        determined += 1.0 - left / prior;
      }
    return determined > 0.1 ? std::max(least, std::sqrt(squares / determined)) : least;
  };
  const double principal = component({0, 1}, least_shift_sigma[0]);
  return {principal, principal, component({2}, least_shift_sigma[2])};
}

double found_noise(const Bundle& bundle, const BundleCovariance& found) {
  double squares = 0.0, redundancy = 0.0;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    squares += found.observation_square[i];
    redundancy += found.observation_redundancy[i];
  }
  return redundancy > 1.0 ? std::sqrt(squares / redundancy) : 1.0;
}

// The same from the middle of all sightings, which outliers do not move.
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

double centre_miss_px(const Bundle& bundle, const BundleObservation& observation) {
  const Eigen::VectorXd miss = residuals_px(bundle, observation);
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  for (int i = 0; i < 4; ++i) mean += 0.25 * miss.segment<2>(2 * i);
  return mean.norm();
}

// Rejects the sighting that fits worst in each photo and tag, if it is no noise. Returns how many.
int reject_outliers(StartedBundle& started, const BundleCovariance& found, const NetworkInput& input) {
  Bundle& bundle = started.bundle;
  const double noise = found_noise_robust(bundle, found);
  std::vector<std::pair<double, std::size_t>> suspects;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    if (bundle.observations[i].rejected || found.observation_redundancy[i] < 0.5) continue;
    const double ratio = found.observation_square[i] / (found.observation_redundancy[i] * noise * noise);
    if (ratio > outlier_ratio) suspects.emplace_back(ratio, i);
  }
  std::sort(suspects.rbegin(), suspects.rend());
  std::vector<bool> photo_done(bundle.stations.size(), false), tag_done(bundle.targets.size(), false);
  int count = 0;
  for (const auto& [ratio, i] : suspects) {
    BundleObservation& observation = bundle.observations[i];
    if (photo_done[observation.station] || tag_done[observation.target]) continue;
    photo_done[observation.station] = tag_done[observation.target] = true;
    observation.rejected = true;
    started.rejected.push_back(
        {input.photos[observation.station].photo, started.tag_numbers[observation.target],
         "does not fit: centre " + format_fixed(centre_miss_px(bundle, observation), 2) +
             " px off, residuals " + format_fixed(std::sqrt(ratio), 1) +
             " times as large as noise explains"});
    ++count;
  }
  return count;
}

// Tags in one photo only and photos with a single tag hold nothing together.
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
    for (BundleObservation& observation : bundle.observations) {
      if (observation.rejected) continue;
      if (of_station[observation.station] >= 2 && of_target[observation.target] >= 2) continue;
      observation.rejected = changed = true;
    }
  }
}

void choose_datum(Bundle& bundle) {
  std::vector<int> photos(bundle.targets.size());
  for (const BundleObservation& observation : bundle.observations)
    if (!observation.rejected) ++photos[observation.target];
  bundle.datum_target = static_cast<int>(std::max_element(photos.begin(), photos.end()) - photos.begin());
}

std::vector<bool> targets_in_use(const Bundle& bundle) {
  std::vector<bool> used(bundle.targets.size(), false);
  for (const BundleObservation& observation : bundle.observations)
    if (!observation.rejected) used[observation.target] = true;
  return used;
}

void set_scale_bars(const NetworkInput& input, StartedBundle& started) {
  const auto used = targets_in_use(started.bundle);
  started.bundle.distances.clear();
  for (const ScaleBar& bar : input.scale_bars) {
    const auto find = [&](int number) {
      const auto place = std::lower_bound(started.tag_numbers.begin(), started.tag_numbers.end(), number);
      if (place == started.tag_numbers.end() || *place != number ||
          !used[place - started.tag_numbers.begin()])
        throw Problem(
            ProblemKind::refused,
            "Tag " + std::to_string(number) + " of the scale strip " + std::to_string(bar.from_tag) + "-" +
                std::to_string(bar.to_tag) + " is not in two photos that fit together.",
            "Take more photos of that strip together with other tags, or take it out of the job file.");
      return static_cast<int>(place - started.tag_numbers.begin());
    };
    started.bundle.distances.push_back({find(bar.from_tag), find(bar.to_tag), bar.length_mm, bar.sigma_mm});
  }
}

// A length in the network changes scale of the whole: started from printed sides, the network may be off by
// the printer's error, which is small; poses follow in the adjustment.
void scale_to_bars(StartedBundle& started) {
  Bundle& bundle = started.bundle;
  double measured = 0.0, found = 0.0;
  for (const BundleDistance& distance : bundle.distances) {
    measured += distance.length_mm;
    found += (bundle.targets[distance.to_target].network_from_target.translation_mm -
              bundle.targets[distance.from_target].network_from_target.translation_mm)
                 .norm();
  }
  if (found <= 0.0) return;
  const double factor = measured / found;
  for (BundleTarget& target : bundle.targets) target.network_from_target.translation_mm *= factor;
  for (BundleStation& station : bundle.stations) station.camera_from_network.translation_mm *= factor;
  for (BundleSize& size : bundle.sizes) size.factor *= factor;
}

struct Adjustment {
  StartedBundle started{};
  BundleCovariance found{};
  double noise_scale = 1.0;
};

Adjustment adjust_in_rounds(StartedBundle started, const NetworkInput& input) {
  Adjustment now;
  now.started = std::move(started);
  Bundle& bundle = now.started.bundle;
  drop_loose_ends(now.started);
  choose_datum(bundle);
  set_scale_bars(input, now.started);
  scale_to_bars(now.started);
  bundle.shift_sigma = first_shift_sigma;
  now.noise_scale = 4.0;  // until the photos tell: rejects only what is grossly wrong
  for (int round = 0; round < most_rounds; ++round) {
    weigh_observations(now.started, now.noise_scale);
    constexpr double robust_scale = 6.0;
    bundle = adjust(bundle, {false, round < 2 ? robust_scale : 0.0, round < 2 ? 40 : 20}).bundle;
    now.found = covariance(bundle);
    const int rejected = reject_outliers(now.started, now.found, input);
    if (rejected > 0) {
      drop_loose_ends(now.started);
      choose_datum(bundle);
      set_scale_bars(input, now.started);
    }
    const double noise =
        rejected > 0 || round < 2 ? found_noise_robust(bundle, now.found) : found_noise(bundle, now.found);
    const PhotoShift shift_sigma = estimate_shift_sigma(bundle, now.found);
    const bool settled = rejected == 0 && round >= 3 && std::abs(noise - 1.0) < 0.01 &&
                         std::abs(shift_sigma[0] / bundle.shift_sigma[0] - 1.0) < 0.05 &&
                         std::abs(shift_sigma[2] / bundle.shift_sigma[2] - 1.0) < 0.05;
    if (settled) break;
    now.noise_scale *= noise;
    bundle.shift_sigma = shift_sigma;
  }
  weigh_observations(now.started, now.noise_scale);
  bundle = adjust(bundle, {false, 0.0, 20}).bundle;
  now.found = covariance(bundle);
  return now;
}

double widest_angle_rad(const Bundle& bundle, int target) {
  std::vector<Eigen::Vector3d> rays;
  for (const BundleObservation& observation : bundle.observations) {
    if (observation.rejected || observation.target != target) continue;
    const Eigen::Vector3d camera_mm =
        bundle.stations[observation.station].camera_from_network.inverse().translation_mm;
    rays.push_back((camera_mm - bundle.targets[target].network_from_target.translation_mm).normalized());
  }
  double widest = 0.0;
  for (std::size_t a = 0; a < rays.size(); ++a)
    for (std::size_t b = a + 1; b < rays.size(); ++b)
      widest = std::max(widest, std::acos(std::clamp(rays[a].dot(rays[b]), -1.0, 1.0)));
  return widest;
}

struct Tally {
  int count = 0;
  double squares_px2 = 0.0;
  void add(double miss_px) {
    ++count;
    squares_px2 += miss_px * miss_px;
  }
  double rms_px() const { return count > 0 ? std::sqrt(squares_px2 / (2.0 * count)) : 0.0; }
};

void report_stations(const Adjustment& done, const NetworkInput& input, const std::vector<Tally>& tally,
                     Network& network) {
  const Bundle& bundle = done.started.bundle;
  for (std::size_t i = 0; i < input.photos.size(); ++i) {
    Station station;
    station.photo = input.photos[i].photo;
    station.sightings = tally[i].count;
    station.used = tally[i].count > 0;
    station.lens = bundle.stations[i].lens;
    if (station.used) {
      station.network_from_camera = bundle.stations[i].camera_from_network.inverse();
      station.shift = bundle.stations[i].shift;
      station.rms_px = tally[i].rms_px();
    } else if (input.photos[i].sightings.empty()) {
      station.why_not = "no tag found";
    } else {
      station.why_not = "its tags do not hang together with those of the other photos";
    }
    network.stations.push_back(station);
  }
}

void report_tags(const Adjustment& done, const NetworkInput& input, const std::vector<Tally>& tally,
                 Network& network) {
  const Bundle& bundle = done.started.bundle;
  std::vector<int> kept;
  for (std::size_t i = 0; i < bundle.targets.size(); ++i) {
    if (tally[i].count == 0) continue;
    kept.push_back(static_cast<int>(i));
    const int number = done.started.tag_numbers[i];
    const auto other = input.other_sides_mm.find(number);
    const double side_mm = other == input.other_sides_mm.end() ? input.printed_side_mm : other->second;
    network.tags.push_back({number, bundle.targets[i].network_from_target,
                            side_mm * bundle.sizes[bundle.targets[i].size].factor, tally[i].count,
                            widest_angle_rad(bundle, static_cast<int>(i)), tally[i].rms_px()});
  }
  const auto width = static_cast<Eigen::Index>(6 * kept.size());
  network.tag_covariance.resize(width, width);
  for (std::size_t a = 0; a < kept.size(); ++a)
    for (std::size_t b = 0; b < kept.size(); ++b)
      network.tag_covariance.block<6, 6>(6 * a, 6 * b) =
          done.found.targets.block<6, 6>(6 * kept[a], 6 * kept[b]);
}

void report_lenses(const Adjustment& done, Network& network) {
  const Bundle& bundle = done.started.bundle;
  for (std::size_t i = 0; i < bundle.lenses.size(); ++i) {
    LensEstimate estimate;
    estimate.camera = done.started.groups[i].words;
    estimate.lens = bundle.lenses[i].lens;
    for (int k = 0; k < lens_parameter_count; ++k)
      estimate.sigma[k] = std::sqrt(std::max(0.0, done.found.lenses[i](k, k)));
    for (const Station& station : network.stations)
      if (station.used && station.lens == static_cast<int>(i)) ++estimate.photos;
    network.lenses.push_back(estimate);
  }
}

void report_scale_bars(const Adjustment& done, const NetworkInput& input, Network& network) {
  const Bundle& bundle = done.started.bundle;
  for (std::size_t i = 0; i < input.scale_bars.size(); ++i) {
    const BundleDistance& distance = bundle.distances[i];
    const Eigen::Vector3d apart_mm = bundle.targets[distance.to_target].network_from_target.translation_mm -
                                     bundle.targets[distance.from_target].network_from_target.translation_mm;
    const Eigen::Vector3d along = apart_mm.normalized();
    const Eigen::Index a = 6 * distance.from_target, b = 6 * distance.to_target;
    const Eigen::MatrixXd& covariance_of = done.found.targets;
    const Eigen::Matrix3d spread = covariance_of.block<3, 3>(a, a) + covariance_of.block<3, 3>(b, b) -
                                   covariance_of.block<3, 3>(a, b) - covariance_of.block<3, 3>(b, a);
    const double left = distance.sigma_mm * distance.sigma_mm - along.dot(spread * along);
    const double miss = apart_mm.norm() - distance.length_mm;
    // A bar that alone gives the scale has no residual to judge.
    const double normalised =
        left > 1e-4 * distance.sigma_mm * distance.sigma_mm ? miss / std::sqrt(left) : 0.0;
    network.scale_bars.push_back({input.scale_bars[i], apart_mm.norm(), normalised});
  }
}

Network describe(const Adjustment& done, const NetworkInput& input) {
  const Bundle& bundle = done.started.bundle;
  std::vector<Tally> by_photo(input.photos.size()), by_tag(bundle.targets.size());
  Tally all;
  for (const BundleObservation& observation : bundle.observations) {
    if (observation.rejected) continue;
    const double miss_px = centre_miss_px(bundle, observation);
    for (Tally* tally : {&by_photo[observation.station], &by_tag[observation.target], &all})
      tally->add(miss_px);
  }
  Network network;
  report_stations(done, input, by_photo, network);
  report_tags(done, input, by_tag, network);
  report_lenses(done, network);
  report_scale_bars(done, input, network);
  network.rejected = done.started.rejected;
  network.centre_rms_px = all.rms_px();
  network.noise_factor = done.noise_scale;
  network.shift_sigma = bundle.shift_sigma;
  network.observations = done.found.residuals;
  network.unknowns = done.found.unknowns;
  return network;
}

}  // namespace

int Network::index_of_tag(int number) const {
  const auto place = std::lower_bound(tags.begin(), tags.end(), number,
                                      [](const TagInSpace& tag, int wanted) { return tag.number < wanted; });
  return place != tags.end() && place->number == number ? static_cast<int>(place - tags.begin()) : -1;
}

Network adjust_network(const NetworkInput& input) {
  return describe(adjust_in_rounds(start_bundle(input), input), input);
}

}  // namespace pivotfix
