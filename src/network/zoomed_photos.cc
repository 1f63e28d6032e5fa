// SPDX-License-Identifier: Apache-2.0
#include "network/zoomed_photos.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "network/placing.h"

namespace pivotfix {

namespace {

// Misfits are in units of direction: this is some ten pixels of a phone's picture.
constexpr double suspicious = 0.004;
constexpr double much_worse = 3.0;  // than the best quarter of the photos: half of them may be zoomed
constexpr double smallest_zoom = 0.4, zoom_step = 1.06;
constexpr int zoom_steps = 35;      // to nearly three times
constexpr double same_zoom = 0.15;  // relative

using Misfits = std::vector<std::optional<StartPhoto>>;

Misfits place_all(const StartedBundle& started, const StartPoses& poses, double focal_factor) {
  const auto sightings = start_sightings(started, focal_factor);
  const auto corners = corners_of_targets(started);
  std::vector<std::vector<const StartSighting*>> of_photo(started.bundle.stations.size());
  for (const StartSighting& sighting : sightings) of_photo[sighting.photo].push_back(&sighting);
  Misfits placed;
  for (std::size_t photo = 0; photo < of_photo.size(); ++photo)
    placed.push_back(place_photo(static_cast<int>(photo), of_photo[photo], poses, corners));
  return placed;
}

// With a lens file no zoom is tried: a photo that was zoomed all the same does not fit, and is rejected
// whole.
std::vector<int> suspicious_photos(const StartedBundle& started, const Misfits& placed) {
  std::vector<double> all;
  for (const auto& photo : placed)
    if (photo) all.push_back(photo->misfit);
  if (all.empty()) return {};
  const auto good = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 4);
  std::nth_element(all.begin(), good, all.end());
  const double limit = std::max(suspicious, much_worse * *good);
  std::vector<int> photos;
  for (std::size_t i = 0; i < placed.size(); ++i)
    if (placed[i] && placed[i]->misfit > limit &&
        !started.bundle.lenses[started.bundle.stations[i].lens].calibrated())
      photos.push_back(static_cast<int>(i));
  return photos;
}

struct Zoom {
  int photo = 0;
  double factor = 1.0;
  StartPhoto placed{};
};

// The zoom under which a photo fits best, where that is much better than without.
std::vector<Zoom> find_zooms(const StartedBundle& started, const StartPoses& poses,
                             const Misfits& as_they_are, const std::vector<int>& photos) {
  std::vector<Zoom> best;
  for (const int photo : photos) best.push_back({photo, 1.0, *as_they_are[photo]});
  for (int step = 0; step < zoom_steps; ++step) {
    const double factor = smallest_zoom * std::pow(zoom_step, step);
    const Misfits placed = place_all(started, poses, factor);
    for (Zoom& zoom : best)
      // A longer lens makes the same miss in pixels a smaller direction.
      if (const auto& photo = placed[zoom.photo];
          photo && photo->misfit * factor < zoom.placed.misfit * zoom.factor)
        zoom = {zoom.photo, factor, *photo};
  }
  std::erase_if(best, [&](const Zoom& zoom) {
    return std::abs(zoom.factor - 1.0) < same_zoom ||
           zoom.placed.misfit * zoom.factor >= 0.4 * as_they_are[zoom.photo]->misfit;
  });
  return best;
}

// The group of a zoomed photo: one that is like it, or a new one.
int group_for(const Zoom& zoom, StartedBundle& started, std::size_t first_new) {
  const int old_lens = started.bundle.stations[zoom.photo].lens;
  const double focal_px = zoom.factor * started.bundle.lenses[old_lens].lens.focal_px();
  for (std::size_t i = first_new; i < started.groups.size(); ++i)
    if (same_lens(started.groups[i].camera, started.groups[old_lens].camera) &&
        std::abs(started.bundle.lenses[i].lens.focal_px() / focal_px - 1.0) < same_zoom)
      return static_cast<int>(i);
  LensGroup group = started.groups[old_lens];
  group.words += ", zoomed or cropped " + format_fixed(zoom.factor, 1) + " times";
  group.photos.clear();
  BundleLens lens = started.bundle.lenses[old_lens];
  lens.lens.values[lens_focal_px] *= zoom.factor;
  lens.expected.values[lens_focal_px] *= zoom.factor;
  lens.expected_sigma[lens_focal_px] *= zoom.factor;
  started.groups.push_back(group);
  started.bundle.lenses.push_back(lens);
  return static_cast<int>(started.groups.size()) - 1;
}

}  // namespace

std::vector<int> set_zoomed_photos_apart(StartedBundle& started, StartPoses& poses) {
  const Misfits as_they_are = place_all(started, poses, 1.0);
  const std::vector<int> suspects = suspicious_photos(started, as_they_are);
  if (suspects.empty()) return {};
  const std::size_t first_new = started.groups.size();
  std::vector<int> zoomed;
  for (const Zoom& zoom : find_zooms(started, poses, as_they_are, suspects)) {
    const int old_lens = started.bundle.stations[zoom.photo].lens;
    std::erase(started.groups[old_lens].photos, zoom.photo);
    const int lens = group_for(zoom, started, first_new);
    started.groups[lens].photos.push_back(zoom.photo);
    started.bundle.stations[zoom.photo].lens = lens;
    poses.camera_from_network[zoom.photo] = zoom.placed.camera_from_network;
    zoomed.push_back(zoom.photo);
  }
  return zoomed;
}

}  // namespace pivotfix
