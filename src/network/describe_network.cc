// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "network/adjustment.h"
#include "network/faults.h"
#include "network/outliers.h"

namespace pivotfix {

namespace {

double widest_angle_rad(const Bundle& bundle, int target) {
  std::vector<Eigen::Vector3d> rays;
  for (const BundleObservation& observation : bundle.observations) {
    if (observation.rejected || observation.target != target) continue;
    const Eigen::Vector3d camera_mm =
        bundle.stations[observation.station].camera_from_network.inverse().translation_mm;
    rays.push_back((camera_mm - bundle.targets[target].network_from_target.translation_mm).normalized());
  }
  double least_cosine = 1.0;
  for (std::size_t a = 0; a < rays.size(); ++a)
    for (std::size_t b = a + 1; b < rays.size(); ++b)
      least_cosine = std::min(least_cosine, rays[a].dot(rays[b]));
  return std::acos(std::max(least_cosine, -1.0));
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
  const std::vector<bool> at_odds = photos_at_odds(done.started);
  for (std::size_t i = 0; i < input.photos.size(); ++i) {
    Station station;
    station.photo = input.photos[i].photo;
    station.sightings = tally[i].count;
    station.used = tally[i].count > 0;
    station.lens = bundle.stations[i].lens;
    const CameraDescription& camera = input.photos[i].camera;
    station.picture = picture_quality(input.photos[i].sightings, std::max(camera.width_px, camera.height_px));
    if (station.used) {
      station.network_from_camera = bundle.stations[i].camera_from_network.inverse();
      station.shift = bundle.stations[i].shift;
      station.rms_px = tally[i].rms_px();
    } else if (input.photos[i].sightings.empty()) {
      station.why_not = "no tag found";
    } else if (const auto copy = done.started.copies.find(static_cast<int>(i));
               copy != done.started.copies.end()) {
      station.why_not = "the same picture as " + input.photos[copy->second].photo;
    } else if (at_odds[i]) {
      station.why_not = "as a whole it does not fit the other photos";
    } else {
      station.why_not = "its tags do not hang together with those of the other photos";
    }
    network.stations.push_back(station);
  }
}

void report_tags(const Adjustment& done, const NetworkInput& input, const std::vector<Tally>& tally,
                 Network& network) {
  const Bundle& bundle = done.started.bundle;
  std::vector<int> place(bundle.targets.size(), -1);
  std::vector<Eigen::Index> kept;  // columns of the joint covariance
  for (std::size_t i = 0; i < bundle.targets.size(); ++i) {
    if (tally[i].count == 0) continue;
    for (int k = 0; k < target_width; ++k) kept.push_back(static_cast<Eigen::Index>(target_width * i + k));
    const auto& [number, set] = done.started.tags[i];
    place[i] = static_cast<int>(network.tags.size());
    network.tags.push_back({number, bundle.targets[i].network_from_target,
                            input.side_mm_of(number) * bundle.sizes[bundle.targets[i].size].factor,
                            tally[i].count, widest_angle_rad(bundle, static_cast<int>(i)), tally[i].rms_px(),
                            set, bundle.targets[i].size});
  }
  for (const BundleObservation& observation : bundle.observations)
    if (!observation.rejected)
      network.stations[observation.station].tags.push_back(place[observation.target]);
  network.tag_covariance = done.found.joint(kept, kept);
  for (auto at = static_cast<Eigen::Index>(target_width * bundle.targets.size());
       at < done.found.joint.cols(); ++at)
    kept.push_back(at);
  network.joint_covariance = done.found.joint(kept, kept);
  network.widened = done.widened;
  network.tag_covariance *= done.widened * done.widened;
  network.joint_covariance *= done.widened * done.widened;
}

// Where the photos took less than half away from what was expected beforehand.
std::vector<LensParameter> undetermined(const BundleLens& lens,
                                        const std::array<double, lens_parameter_count>& sigma) {
  constexpr double hardly_less = 0.7;  // of the variance's root: half of the variance
  std::vector<LensParameter> result;
  for (int k = 0; k < lens_parameter_count; ++k)
    if (!lens.calibrated() && lens.free[k] && lens.expected_sigma[k] > 0.0 &&
        sigma[k] > hardly_less * lens.expected_sigma[k])
      result.push_back(static_cast<LensParameter>(k));
  return result;
}

void report_lenses(const Adjustment& done, const NetworkInput& input, Network& network) {
  const Bundle& bundle = done.started.bundle;
  for (std::size_t i = 0; i < bundle.lenses.size(); ++i) {
    LensEstimate estimate;
    estimate.camera = done.started.groups[i].words;
    estimate.lens = bundle.lenses[i].lens;
    estimate.covariance = done.found.lenses[i];
    if (bundle.lenses[i].calibrated())
      for (const LensFile& known : input.known_lenses)
        if (same_lens(known.camera, done.started.groups[i].camera)) estimate.lens_file = known.name;
    for (int k = 0; k < lens_parameter_count; ++k)
      estimate.sigma[k] = std::sqrt(std::max(0.0, done.found.lenses[i](k, k)));
    estimate.undetermined = undetermined(bundle.lenses[i], estimate.sigma);
    estimate.width_px = done.started.groups[i].camera.width_px;
    estimate.height_px = done.started.groups[i].camera.height_px;
    for (const Station& station : network.stations)
      if (station.used && station.lens == static_cast<int>(i)) ++estimate.photos;
    network.lenses.push_back(estimate);
  }
}

void report_scale_bars(const Adjustment& done, Network& network) {
  const Bundle& bundle = done.started.bundle;
  for (std::size_t i = 0; i < bundle.distances.size(); ++i) {
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
    network.scale_bars.push_back({done.started.scale_bars[i], apart_mm.norm(), normalised});
  }
}

}  // namespace

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
  report_lenses(done, input, network);
  report_scale_bars(done, network);
  network.rejected = done.started.all_rejected(input);
  network.centre_rms_px = all.rms_px();
  network.noise_factor = done.noise_scale;
  network.cross_validation = done.cross_validation;
  network.shift_sigma = bundle.shift_sigma;
  network.observations = done.found.residuals;
  network.unknowns = done.found.unknowns;
  network.warnings = find_faults(done, input, network);
  return network;
}

int Network::index_of_tag(int number, const std::string& set) const {
  const auto find = [&](const PlacedTag& wanted) {
    const auto place =
        std::lower_bound(tags.begin(), tags.end(), wanted, [](const TagInSpace& tag, const PlacedTag& other) {
          return PlacedTag{tag.number, tag.set} < other;
        });
    return place != tags.end() && place->number == wanted.number && place->set == wanted.set
               ? static_cast<int>(place - tags.begin())
               : -1;
  };
  const int in_set = find({number, set});
  return in_set >= 0 || set.empty() ? in_set : find({number, {}});
}

}  // namespace pivotfix
