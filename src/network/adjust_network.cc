// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "base/units.h"
#include "network/adjustment.h"
#include "network/cross_validation.h"
#include "network/network.h"
#include "network/outliers.h"
#include "network/photo_shifts.h"

namespace pivotfix {

namespace {

constexpr int most_rounds = 16;
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
      const int target = target_of(started, {number, {}});
      if (target < 0 || !used[target])
        throw Problem(
            ProblemKind::refused,
            "Tag " + std::to_string(number) + " of the scale strip " + std::to_string(bar.from_tag) + "-" +
                std::to_string(bar.to_tag) + " is not in two photos that fit together.",
            "Take more photos of that strip together with other tags, or take it out of the job file.");
      return target;
    };
    started.bundle.distances.push_back({find(bar.from_tag), find(bar.to_tag), bar.length_mm, bar.sigma_mm});
  }
}

double length_mm(const Bundle& bundle, const BundleDistance& distance) {
  return (bundle.targets[distance.to_target].network_from_target.translation_mm -
          bundle.targets[distance.from_target].network_from_target.translation_mm)
      .norm();
}

// No printer stretches a page by a fifth: a strip that says so was mistyped, or measured in another unit.
void check_strips_against_sides(const NetworkInput& input, const Bundle& bundle) {
  constexpr double most_stretched = 0.2;
  for (std::size_t i = 0; i < bundle.distances.size(); ++i) {
    const double from_sides_mm = length_mm(bundle, bundle.distances[i]);
    const double stretched = bundle.distances[i].length_mm / from_sides_mm - 1.0;
    if (std::abs(stretched) <= most_stretched) continue;
    const ScaleBar& bar = input.scale_bars[i];
    throw Problem(ProblemKind::refused,
                  "The scale strip " + std::to_string(bar.from_tag) + "-" + std::to_string(bar.to_tag) +
                      " is given as " + format_fixed(bar.length_mm, 1) +
                      " mm; by the printed sides of the tags it is " + format_fixed(from_sides_mm, 0) +
                      " mm.",
                  "Check its length and unit in the job file, and the sides of the tags.");
  }
}

// Started from printed sides, the network may be off by the printer's stretch: a mean factor is near enough,
// the adjustment does the rest.
void scale_to_bars(StartedBundle& started) {
  Bundle& bundle = started.bundle;
  if (bundle.distances.empty()) return;
  double measured_mm = 0.0, found_mm = 0.0;
  for (const BundleDistance& distance : bundle.distances) {
    measured_mm += distance.length_mm;
    found_mm += length_mm(bundle, distance);
  }
  const double factor = measured_mm / found_mm;
  for (BundleTarget& target : bundle.targets) target.network_from_target.translation_mm *= factor;
  for (BundleStation& station : bundle.stations) station.camera_from_network.translation_mm *= factor;
  for (BundleSize& size : bundle.sizes) size.factor *= factor;
}

}  // namespace

Adjustment adjust_in_rounds(StartedBundle started, const NetworkInput& input) {
  Adjustment now;
  now.started = std::move(started);
  Bundle& bundle = now.started.bundle;
  drop_loose_ends(now.started);
  choose_datum(bundle);
  set_scale_bars(input, now.started);
  check_strips_against_sides(input, bundle);
  scale_to_bars(now.started);
  if (bundle.shift_sigma == PhotoShift{}) bundle.shift_sigma = first_shift_sigma;
  now.noise_scale = 4.0;  // until the photos tell: rejects only what is grossly wrong
  bool readmitted = false;
  for (int round = 0; round < most_rounds; ++round) {
    weigh_observations(now.started, now.noise_scale);
    constexpr double robust_scale = 6.0;
    constexpr double rough_gain = 1e-4;
    now.found = adjust_with_covariance(
        bundle, {false, round < 2 ? robust_scale : 0.0, round < 2 ? 40 : 20, rough_gain});
    const int rejected = reject_outliers(now.started, now.found, now.noise_scale);
    if (rejected > 0) {
      drop_loose_ends(now.started);
      choose_datum(bundle);
      set_scale_bars(input, now.started);
    }
    const double noise =
        rejected > 0 || round < 2 ? found_noise_robust(bundle, now.found) : found_noise(bundle, now.found);
    const PhotoShift shift_sigma = estimate_shift_sigma(bundle, now.found);
    const bool settled = rejected == 0 && round >= 3 && std::abs(noise - 1.0) < 0.01 &&
                         has_settled(bundle.shift_sigma, shift_sigma);
    if (settled && (readmitted || readmit_innocent(now.started) == 0)) break;
    if (settled) readmitted = true;
    now.noise_scale *= noise;
    bundle.shift_sigma = shift_sigma;
  }
  weigh_observations(now.started, now.noise_scale);
  now.found = adjust_with_covariance(bundle, {false, 0.0, 20});
  now.cross_validation = cross_validate(now.started);
  return now;
}

namespace {

// Knowledge so weak that it never pulls on what the photos say.
void forget_calibration(BundleLens& lens) {
  lens.expected_covariance.resize(0, 0);
  const BundleLens usual;
  lens.free = usual.free;
  lens.expected_sigma = {};
}

PhotoShift spread_about_mean(const Bundle& bundle) {
  PhotoShift spread = least_shift_sigma;
  const auto count = static_cast<double>(bundle.stations.size());
  for (int kind = 0; kind < photo_shift_count; ++kind) {
    double mean = 0.0, squares = 0.0;
    for (const BundleStation& station : bundle.stations) mean += station.shift[kind] / count;
    for (const BundleStation& station : bundle.stations)
      squares += (station.shift[kind] - mean) * (station.shift[kind] - mean) / count;
    spread[kind] = std::max(spread[kind], std::sqrt(squares));
  }
  return spread;
}

// What the photos alone say of the lens against its lens file, by their covariances together: chi-squared
// with as many degrees of freedom as parameters are known; its cube root is nearly normal (Wilson and
// Hilferty, as in outliers.cc).
double deviate_of_calibration(const BundleLens& known, const BundleLens& alone,
                              const Eigen::MatrixXd& covariance_alone) {
  const Eigen::MatrixXd knowledge = known.square_root_of_knowledge();
  Eigen::VectorXd difference(lens_parameter_count);
  for (int k = 0; k < lens_parameter_count; ++k)
    difference[k] = alone.lens.values[k] - known.expected.values[k];
  const Eigen::Index count = knowledge.rows();
  // In units of the file's own uncertainty, where numbers of all parameters are alike.
  const Eigen::VectorXd whitened = knowledge * difference;
  const Eigen::MatrixXd spread =
      Eigen::MatrixXd::Identity(count, count) + knowledge * covariance_alone * knowledge.transpose();
  const double mean_square = whitened.dot(spread.ldlt().solve(whitened)) / static_cast<double>(count);
  const double variance = 2.0 / (9.0 * static_cast<double>(count));
  return (std::cbrt(mean_square) - (1.0 - variance)) / std::sqrt(variance);
}

void refuse_calibration(const BundleLens& known, const BundleLens& alone, const std::string& file) {
  throw Problem(ProblemKind::refused,
                "The lens file does not fit these photos: it has a focal length of " +
                    format_fixed(known.expected.focal_px(), 1) + " px, the photos alone say " +
                    format_fixed(alone.lens.focal_px(), 1) +
                    " px, and the whole differs by more than both uncertainties allow.",
                "Was the camera zoomed, focused or cropped otherwise? Leave the lens file out, or calibrate "
                "anew: pivotfix lens",
                Place{file});
}

void check_calibrations(const Adjustment& done, const NetworkInput& input) {
  constexpr double most_deviates = 4.9;  // less than once in a million by chance
  const Bundle& adjusted = done.started.bundle;
  if (std::none_of(adjusted.lenses.begin(), adjusted.lenses.end(),
                   [](const BundleLens& lens) { return lens.calibrated(); }))
    return;
  Bundle alone = adjusted;
  for (BundleLens& lens : alone.lenses)
    if (lens.calibrated()) forget_calibration(lens);
  // A lens that is wrong in all photos looks like a stabiliser that always leans one way.
  alone.shift_sigma = spread_about_mean(adjusted);
  const BundleCovariance found = adjust_with_covariance(alone, {false, 0.0, 30, 1e-6});
  const double noise = found_noise(alone, found);
  for (std::size_t i = 0; i < alone.lenses.size(); ++i) {
    const BundleLens& known = adjusted.lenses[i];
    if (!known.calibrated() ||
        deviate_of_calibration(known, alone.lenses[i], noise * noise * found.lenses[i]) < most_deviates)
      continue;
    for (const LensFile& file : input.known_lenses)
      if (same_lens(file.camera, done.started.groups[i].camera))
        refuse_calibration(known, alone.lenses[i], file.name);
  }
}

}  // namespace

Network finish(const Adjustment& done, const NetworkInput& input) {
  check_calibrations(done, input);
  return describe(done, input);
}

Network adjust_network(const NetworkInput& input) {
  return finish(adjust_in_rounds(start_bundle(input), input), input);
}

}  // namespace pivotfix
