// SPDX-License-Identifier: Apache-2.0
#include "network/placing.h"

#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "base/problem.h"
#include "base/side_by_side.h"
#include "network/copied_photo.h"

namespace pivotfix {

namespace {

constexpr double start_sigma_px = 2.0;

// The same file under another name, or packed anew: counted twice its errors would look half as likely.
bool shows_the_same(const PhotoSightings& one, const PhotoSightings& other) {
  if (one.sightings.size() < 2 || one.sightings.size() != other.sightings.size()) return false;
  for (std::size_t i = 0; i < one.sightings.size(); ++i)
    if (one.sightings[i].tag_number != other.sightings[i].tag_number ||
        !as_in_a_copy(one.sightings[i].centre_px, other.sightings[i].centre_px))
      return false;
  return one.camera.width_px == other.camera.width_px && one.camera.height_px == other.camera.height_px;
}

std::map<int, int> copies_among(const std::vector<PhotoSightings>& photos) {
  std::map<int, int> copies;
  for (std::size_t i = 0; i < photos.size(); ++i)
    for (std::size_t earlier = 0; earlier < i; ++earlier)
      if (!copies.contains(static_cast<int>(earlier)) && shows_the_same(photos[earlier], photos[i])) {
        copies.emplace(static_cast<int>(i), static_cast<int>(earlier));
        break;
      }
  return copies;
}

// Sightings by photo, without copies of photos and numbers that stand twice in one photo or in a single photo
// only.
std::vector<UsedSighting> usable_sightings(const NetworkInput& input, const std::map<int, int>& copies,
                                           std::vector<RejectedSighting>& rejected) {
  std::vector<UsedSighting> once;
  std::map<PlacedTag, int> photos_with_tag;
  for (std::size_t photo = 0; photo < input.photos.size(); ++photo) {
    if (copies.contains(static_cast<int>(photo))) continue;
    std::map<int, int> times;
    for (const Sighting& sighting : input.photos[photo].sightings) ++times[sighting.tag_number];
    for (const Sighting& sighting : input.photos[photo].sightings) {
      if (times[sighting.tag_number] > 1) {
        rejected.push_back({input.photos[photo].photo, sighting.tag_number,
                            "stands " + std::to_string(times[sighting.tag_number]) +
                                " times in this photo: printed twice, or a mirror image?"});
        continue;
      }
      once.push_back({static_cast<int>(photo), &sighting});
      ++photos_with_tag[input.placed_tag(input.photos[photo], sighting.tag_number)];
    }
  }
  std::vector<UsedSighting> usable;
  for (const UsedSighting& used : once) {
    const PhotoSightings& photo = input.photos[used.photo];
    if (photos_with_tag[input.placed_tag(photo, used.sighting->tag_number)] >= 2)
      usable.push_back(used);
    else
      rejected.push_back({photo.photo, used.sighting->tag_number,
                          !input.placed_tag(photo, used.sighting->tag_number).set.empty()
                              ? "no other photo of this set shows this tag: take two more of it"
                              : "no other photo shows this tag: take two more of it"});
  }
  return usable;
}

void require_photos(const NetworkInput& input, const std::vector<UsedSighting>& usable) {
  std::set<int> photos, tags;
  for (const UsedSighting& used : usable) {
    photos.insert(used.photo);
    tags.insert(used.sighting->tag_number);
  }
  if (photos.size() >= 3 && tags.size() >= 3) return;
  std::size_t seen = 0;
  for (const PhotoSightings& photo : input.photos) seen += photo.sightings.size();
  if (seen == 0)
    throw Problem(
        ProblemKind::refused, "None of the " + std::to_string(input.photos.size()) + " photos shows a tag.",
        "Check that they are the right photos, sharp, and that the tags come from `pivotfix print`.");
  throw Problem(ProblemKind::refused,
                "Only " + std::to_string(tags.size()) + " tags are seen in two photos or more, in " +
                    std::to_string(photos.size()) + " photos; 3 tags in 3 photos are the least.",
                "Take more photos that overlap: each should show some tags of its neighbours.");
}

void start_from(const LensFile& known, BundleLens& lens) {
  lens.lens = lens.expected = known.lens;
  lens.expected_covariance = covariance_on_another_day(known);
  for (int k = 0; k < lens_parameter_count; ++k) lens.free[k] = lens.expected_covariance(k, k) > 0.0;
}

// A lens file that belongs to no photo was named by mistake: the user would believe it was used.
void check_known_lenses(const NetworkInput& input, const std::vector<LensGroup>& groups) {
  for (std::size_t i = 0; i < input.known_lenses.size(); ++i) {
    const LensFile& known = input.known_lenses[i];
    for (std::size_t other = 0; other < i; ++other)
      if (same_lens(known.camera, input.known_lenses[other].camera))
        throw Problem(ProblemKind::input,
                      "The lens files " + input.known_lenses[other].name + " and " + known.name +
                          " are of the same camera.",
                      "Keep one of them.");
    const bool used = std::any_of(groups.begin(), groups.end(), [&](const LensGroup& group) {
      return same_lens(known.camera, group.camera);
    });
    if (used) continue;
    std::string cameras;
    for (const LensGroup& group : groups) cameras += (cameras.empty() ? "" : "; ") + group.words;
    throw Problem(ProblemKind::refused,
                  "The lens file is of another camera or picture size (" + in_words(known.camera) +
                      ") than the photos (" + cameras + ").",
                  "Leave it out, or calibrate the camera that took these photos: pivotfix lens",
                  Place{known.name});
  }
}

void add_lenses(const NetworkInput& input, StartedBundle& started) {
  std::vector<CameraDescription> cameras;
  for (const PhotoSightings& photo : input.photos) cameras.push_back(photo.camera);
  started.groups = group_by_lens(cameras);
  check_known_lenses(input, started.groups);
  started.bundle.stations.resize(input.photos.size());
  for (std::size_t i = 0; i < started.groups.size(); ++i) {
    const LensGroup& group = started.groups[i];
    BundleLens lens;
    lens.lens = lens.expected = group.expected;
    const double focal_px = group.expected.focal_px();
    // Wide enough never to pull on what the photos say; tight enough to keep a parameter that they do not
    // determine within what lenses of phones and cameras have (common practice).
    const double middle_px = 0.02 * std::max(group.camera.width_px, group.camera.height_px);
    lens.expected_sigma = {0.3 * focal_px, 0.0, middle_px, middle_px, 0.3, 0.6, 0.6, 0.005, 0.005};
    for (const LensFile& known : input.known_lenses)
      if (same_lens(known.camera, group.camera)) start_from(known, lens);
    started.bundle.lenses.push_back(lens);
    for (const int photo : group.photos) started.bundle.stations[photo].lens = static_cast<int>(i);
  }
}

// Tags of one printed side share how much the printer and the ink stretched them.
void add_targets(const NetworkInput& input, const std::vector<UsedSighting>& usable, StartedBundle& started) {
  std::set<PlacedTag> tags;
  for (const UsedSighting& used : usable)
    tags.insert(input.placed_tag(input.photos[used.photo], used.sighting->tag_number));
  std::map<double, int> size_of_side;
  for (const PlacedTag& tag : tags) {
    const double side_mm = input.side_mm_of(tag.number);
    const auto [place, is_new] = size_of_side.emplace(side_mm, static_cast<int>(started.bundle.sizes.size()));
    if (is_new) started.bundle.sizes.emplace_back();
    started.tags.push_back(tag);
    started.bundle.targets.push_back({{}, place->second});
  }
}

void add_observations(const NetworkInput& input, const std::vector<UsedSighting>& usable,
                      StartedBundle& started) {
  started.used = usable;
  for (const UsedSighting& used : usable) {
    BundleObservation observation;
    observation.station = used.photo;
    observation.target =
        target_of(started, input.placed_tag(input.photos[used.photo], used.sighting->tag_number));
    const auto corners_mm = tag_corners_mm(input.side_mm_of(used.sighting->tag_number));
    observation.points_target_mm.assign(corners_mm.begin(), corners_mm.end());
    observation.points_px.assign(used.sighting->corner_px.begin(), used.sighting->corner_px.end());
    observation.square_root_information = Eigen::MatrixXd::Identity(8, 8) / start_sigma_px;
    started.bundle.observations.push_back(observation);
  }
}

Lens start_lens(const StartedBundle& started, const BundleObservation& observation, double focal_factor) {
  const BundleLens& known = started.bundle.lenses[started.bundle.stations[observation.station].lens];
  Lens lens = known.lens;
  if (!known.calibrated()) lens.values[lens_focal_px] *= focal_factor;
  return lens;
}

// Empty where its corners are no picture of a square.
std::optional<StartSighting> start_sighting(const BundleObservation& observation, const Lens& lens,
                                            const std::array<Eigen::Vector3d, 4>& corners) {
  StartSighting sighting;
  sighting.photo = observation.station;
  sighting.tag = observation.target;
  for (int i = 0; i < 4; ++i) {
    const auto direction = direction_from_pixel(lens, {}, observation.points_px[i]);
    if (!direction) return std::nullopt;
    sighting.direction[i] = *direction;
  }
  const auto poses = planar_poses(sighting.direction, corners);
  if (!poses) return std::nullopt;
  sighting.poses = *poses;
  return sighting;
}

}  // namespace

StartedBundle unplaced_bundle(const NetworkInput& input) {
  StartedBundle started;
  started.bundle.threads = input.threads;
  started.copies = copies_among(input.photos);
  const auto usable = usable_sightings(input, started.copies, started.unusable);
  require_photos(input, usable);
  add_lenses(input, started);
  add_targets(input, usable, started);
  add_observations(input, usable, started);
  return started;
}

void take_poses(const StartPoses& poses, StartedBundle& started) {
  Bundle& bundle = started.bundle;
  bundle.datum_target = poses.root_tag;
  for (std::size_t i = 0; i < bundle.stations.size(); ++i)
    if (poses.camera_from_network[i]) bundle.stations[i].camera_from_network = *poses.camera_from_network[i];
  for (std::size_t i = 0; i < bundle.targets.size(); ++i)
    if (poses.network_from_tag[i]) bundle.targets[i].network_from_target = *poses.network_from_tag[i];
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    const BundleObservation& observation = bundle.observations[i];
    if (poses.camera_from_network[observation.station] && poses.network_from_tag[observation.target]) {
      started.readmit(i);
    } else {
      started.reject(i, "does not hang together with the other photos", Fate::cut_off);
    }
  }
}

std::vector<std::array<Eigen::Vector3d, 4>> corners_of_targets(const StartedBundle& started) {
  std::vector<std::array<Eigen::Vector3d, 4>> corners(started.bundle.targets.size());
  for (const BundleObservation& observation : started.bundle.observations)
    std::copy_n(observation.points_target_mm.begin(), 4, corners[observation.target].begin());
  return corners;
}

std::vector<StartSighting> start_sightings(const StartedBundle& started, double focal_factor) {
  const auto corners = corners_of_targets(started);
  std::vector<std::optional<StartSighting>> readable(started.bundle.observations.size());
  side_by_side(readable.size(), started.bundle.threads, [&](std::size_t i) {
    const BundleObservation& observation = started.bundle.observations[i];
    readable[i] = start_sighting(observation, start_lens(started, observation, focal_factor),
                                 corners[observation.target]);
  });
  std::vector<StartSighting> sightings;
  for (const auto& sighting : readable)
    if (sighting) sightings.push_back(*sighting);
  return sightings;
}

}  // namespace pivotfix
