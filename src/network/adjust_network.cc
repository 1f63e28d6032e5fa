// SPDX-License-Identifier: Apache-2.0
#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "base/chance.h"
#include "base/problem.h"
#include "base/units.h"
#include "network/adjustment.h"
#include "network/centre_misfit.h"
#include "network/cross_validation.h"
#include "network/moved_tags.h"
#include "network/network.h"
#include "network/outliers.h"
#include "network/photo_shifts.h"
#include "network/pieces.h"

namespace pivotfix {

namespace {

constexpr int most_rounds = 60;

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

void refuse_strip(const ScaleBar& bar, int missing_tag) {
  throw Problem(ProblemKind::refused,
                "Tag " + std::to_string(missing_tag) + " of the scale strip " + std::to_string(bar.from_tag) +
                    "-" + std::to_string(bar.to_tag) + " is not in two photos that fit together.",
                "Take more photos of that strip together with other tags, or take it out of the job file.");
}

// A strip that too few photos show is left out as long as another one tells the scale.
void set_scale_bars(const NetworkInput& input, StartedBundle& started) {
  const auto used = targets_in_use(started.bundle);
  const auto is_placed = [&](int number) {
    const int target = target_of(started, {number, {}});
    return target >= 0 && used[target];
  };
  started.bundle.distances.clear();
  started.scale_bars.clear();
  for (const ScaleBar& bar : input.scale_bars) {
    if (!is_placed(bar.from_tag) || !is_placed(bar.to_tag)) continue;
    started.scale_bars.push_back(bar);
    started.bundle.distances.push_back({target_of(started, {bar.from_tag, {}}),
                                        target_of(started, {bar.to_tag, {}}), bar.length_mm, bar.sigma_mm});
  }
  if (!started.scale_bars.empty() || input.scale_bars.empty()) return;
  const ScaleBar& first = input.scale_bars.front();
  refuse_strip(first, is_placed(first.from_tag) ? first.to_tag : first.from_tag);
}

// After sightings were rejected or readmitted: what remains must hold together.
void tidy(const NetworkInput& input, StartedBundle& started) {
  drop_loose_ends(started);
  keep_largest_piece(started);
  choose_datum(started.bundle);
  set_scale_bars(input, started);
}

double length_mm(const Bundle& bundle, const BundleDistance& distance) {
  return (bundle.targets[distance.to_target].network_from_target.translation_mm -
          bundle.targets[distance.from_target].network_from_target.translation_mm)
      .norm();
}

// No printer stretches a page by a fifth: a strip that says so was mistyped, or measured in another unit.
void check_strips_against_sides(const StartedBundle& started) {
  constexpr double most_stretched = 0.2;
  const Bundle& bundle = started.bundle;
  for (std::size_t i = 0; i < bundle.distances.size(); ++i) {
    const double from_sides_mm = length_mm(bundle, bundle.distances[i]);
    const double stretched = bundle.distances[i].length_mm / from_sides_mm - 1.0;
    if (std::abs(stretched) <= most_stretched) continue;
    const ScaleBar& bar = started.scale_bars[i];
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

// No stabiliser or autofocus does more (common practice): where the photos ask for more, something else is
// wrong with them, and must not hide there.
PhotoShift within_reason(PhotoShift sigma, const StartedBundle& started) {
  constexpr double of_picture = 0.005, of_focal_length = 0.01, turn_rad = 0.005;
  int width_px = 0;
  for (const LensGroup& group : started.groups)
    width_px = std::max({width_px, group.camera.width_px, group.camera.height_px});
  for (const int k : {shift_principal_x_px, shift_principal_y_px})
    sigma[k] = std::min(sigma[k], of_picture * width_px);
  sigma[shift_focal] = std::min(sigma[shift_focal], of_focal_length);
  for (const int k : {shift_turn_x, shift_turn_y, shift_turn_z}) sigma[k] = std::min(sigma[k], turn_rad);
  return sigma;
}

// Weighing, solving and rejecting, until nothing changes. False where that never came.
bool settle(Adjustment& now, const NetworkInput& input) {
  Bundle& bundle = now.started.bundle;
  bool placed = false, readmitted = false;
  for (int round = 0; round < most_rounds; ++round) {
    weigh_observations(now.started, now.noise_scale);
    constexpr double robust_scale = 6.0;
    constexpr double rough_gain = 1e-4;
    now.found = adjust_with_covariance(
        bundle, {false, round < 2 ? robust_scale : 0.0, round < 2 ? 40 : 20, rough_gain});
    note_usual_miss(now.started);
    const int rejected = reject_outliers(now.started, now.found, now.noise_scale);
    if (rejected > 0) tidy(input, now.started);
    const double noise =
        rejected > 0 || round < 2 ? found_noise_robust(bundle, now.found) : found_noise(bundle, now.found);
    const PhotoShift shift_sigma = within_reason(estimate_shift_sigma(bundle, now.found), now.started);
    if (rejected == 0 && round >= 3 && std::abs(noise - 1.0) < 0.01 &&
        has_settled(bundle.shift_sigma, shift_sigma)) {
      const int found_again = placed ? 0 : place_where_most_meet(now.started);
      placed = true;
      if (found_again == 0) {
        if (readmitted || readmit_innocent(now.started) == 0) return true;
        readmitted = true;
      }
      tidy(input, now.started);
    }
    now.noise_scale *= noise;
    bundle.shift_sigma = shift_sigma;
  }
  return false;
}

// Where half of the photos cannot be held against the other half, few photos tell their own errors badly,
// with a degree of freedom less than there are photos (common practice; each photo's shift is one draw of
// what errs from photo to photo). A factor of standard deviations.
double widened_for_few_photos(const Bundle& bundle) {
  std::vector<bool> stands(bundle.stations.size());
  for (const BundleObservation& observation : bundle.observations)
    if (!observation.rejected) stands[observation.station] = true;
  const auto photos = static_cast<double>(std::count(stands.begin(), stands.end(), true));
  return std::sqrt(variance_widened_for_few(photos - 1.0));
}

void refuse_undetermined(const Adjustment& done) {
  if (done.found.determined && done.found.joint.diagonal().minCoeff() >= 0.0) return;
  throw Problem(ProblemKind::refused, "The photos do not determine where all tags are to each other.",
                "Take more photos that overlap: each should show four tags or more of its neighbours.");
}

// A group of tags that fell off is a part of the car that the answer would silently lack.
void refuse_pieces(const Adjustment& done, const NetworkInput& input) {
  constexpr std::size_t a_group = 3;
  const CutOff off = cut_off(done.started);
  if (off.targets.size() < a_group) return;
  std::string photos;
  for (const int station : off.stations) photos += (photos.empty() ? "" : ", ") + input.photos[station].photo;
  throw Problem(
      ProblemKind::refused,
      "The photos fall into groups that nothing holds together: " + tags_in_words(off.targets, done.started) +
          " (" + photos + ") have no place among the others.",
      "Take more photos that show tags of both groups. Or leave these photos out.");
}

}  // namespace

Adjustment adjust_in_rounds(StartedBundle started, const NetworkInput& input) {
  Adjustment now;
  now.started = std::move(started);
  Bundle& bundle = now.started.bundle;
  tidy(input, now.started);
  check_strips_against_sides(now.started);
  scale_to_bars(now.started);
  bundle.shift_sigma = first_shift_sigma;
  now.noise_scale = 4.0;  // until the photos tell: rejects only what is grossly wrong
  now.settled = settle(now, input);
  refuse_pieces(now, input);
  weigh_observations(now.started, now.noise_scale);
  now.found = adjust_with_covariance(bundle, {.most_iterations = 100});
  refuse_undetermined(now);
  now.settled = now.settled && now.found.converged;
  now.cross_validation = cross_validate(now.started);
  now.widened_for_count =
      now.cross_validation.done ? std::max(1.0, now.cross_validation.ratio) : widened_for_few_photos(bundle);
  now.widened_for_bend = widened_for_bent_pictures(centre_misfit(now.started, now.found));
  now.widened = std::max(now.widened_for_count, now.widened_for_bend);
  if (!now.settled) now.widened = std::max(now.widened, found_noise(bundle, now.found));
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
// with as many degrees of freedom as parameters are known, as one deviate (base/chance.h).
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
  return normal_deviate(whitened.dot(spread.ldlt().solve(whitened)), static_cast<double>(count));
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
  const Bundle& adjusted = done.started.bundle;
  if (std::none_of(adjusted.lenses.begin(), adjusted.lenses.end(),
                   [](const BundleLens& lens) { return lens.calibrated(); }))
    return;
  Bundle alone = adjusted;
  for (BundleLens& lens : alone.lenses)
    if (lens.calibrated()) forget_calibration(lens);
  // A lens that is wrong in all photos looks like a stabiliser that always leans one way.
  alone.shift_sigma = spread_about_mean(adjusted);
  const BundleCovariance found =
      adjust_with_covariance(alone, {.most_iterations = 30, .smallest_gain = 1e-6});
  const double noise = found_noise(alone, found);
  for (std::size_t i = 0; i < alone.lenses.size(); ++i) {
    const BundleLens& known = adjusted.lenses[i];
    if (!known.calibrated() ||
        deviate_of_calibration(known, alone.lenses[i], noise * noise * found.lenses[i]) < outlier_deviate)
      continue;
    for (const LensFile& file : input.known_lenses)
      if (same_lens(file.camera, done.started.groups[i].camera))
        refuse_calibration(known, alone.lenses[i], file.name);
  }
}

}  // namespace

Network adjust_network(const NetworkInput& input) {
  const Adjustment done = adjust_in_rounds(start_bundle(input), input);
  check_calibrations(done, input);
  return describe(done, input);
}

}  // namespace pivotfix
