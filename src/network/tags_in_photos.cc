// SPDX-License-Identifier: Apache-2.0
#include "network/tags_in_photos.h"

#include <algorithm>

#include "network/corners.h"

namespace pivotfix {
namespace {

bool rejected(const Network& network, const std::string& photo, int tag_number) {
  return std::any_of(network.rejected.begin(), network.rejected.end(), [&](const RejectedSighting& sighting) {
    return sighting.photo == photo && sighting.tag_number == tag_number;
  });
}

const TagInSpace* placed(const Network& network, const PhotoSightings& photo, int tag_number) {
  int index = network.index_of_tag(tag_number, photo.set);
  if (index < 0 && !photo.part.empty())
    index = network.index_of_tag(tag_number, photo.set + "/" + photo.part);
  return index < 0 ? nullptr : &network.tags[static_cast<std::size_t>(index)];
}

Eigen::Vector2d miss_of(const Network& network, const Station& station, const TagInSpace& tag,
                        const Sighting& sighting) {
  const Lens& lens = network.lenses[static_cast<std::size_t>(station.lens)].lens;
  const auto measured = measure_corners(sighting, lens, station.shift);
  if (!measured) return Eigen::Vector2d::Zero();
  const RigidTransform camera_from_tag = station.network_from_camera.inverse() * tag.network_from_tag;
  const auto corners_mm = tag_corners_mm(tag.side_mm);
  Eigen::Vector2d mean = Eigen::Vector2d::Zero();
  for (std::size_t i = 0; i < 4; ++i) {
    const Eigen::Vector3d direction = camera_from_tag * corners_mm[i];
    if (direction.z() <= 0.0) return Eigen::Vector2d::Zero();
    mean += 0.25 * (measured->corner_px[i] - pixel_from_direction(lens, station.shift, direction));
  }
  return mean;
}

}  // namespace

std::vector<std::vector<TagInPhoto>> tags_in_photos(const Network& network,
                                                    const std::vector<PhotoSightings>& photos) {
  std::vector<std::vector<TagInPhoto>> result(network.stations.size());
  for (std::size_t i = 0; i < std::min(photos.size(), network.stations.size()); ++i) {
    const Station& station = network.stations[i];
    for (const Sighting& sighting : photos[i].sightings) {
      TagInPhoto tag{sighting.tag_number, false, sighting.corner_px};
      const TagInSpace* place = placed(network, photos[i], sighting.tag_number);
      if (station.used && station.lens >= 0 && place != nullptr) {
        tag.used = !rejected(network, station.photo, sighting.tag_number);
        tag.miss_px = miss_of(network, station, *place, sighting);
      }
      result[i].push_back(tag);
    }
  }
  return result;
}

}  // namespace pivotfix
