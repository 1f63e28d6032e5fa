// SPDX-License-Identifier: Apache-2.0
// Between sightings and the bundle: numbering, start values, weights. Private to the network stage.
#pragma once

#include <map>
#include <vector>

#include "bundle/bundle.h"
#include "lens/lens_groups.h"
#include "network/corners.h"
#include "network/network.h"

namespace pivotfix {

// Why a sighting is rejected, which decides what may bring it back.
enum class Fate {
  takes_part,          // It is not rejected.
  misfits,             // It does not fit the others; it is weighed on, and comes back when it fits.
  misfits_with_photo,  // The same, but its photo as a whole does not fit, which says nothing against its tag.
  cut_off,             // No tag or photo ties it to the others.
  loose_end,           // No other sighting of its tag, or of its photo, was left.
  unmeasurable         // Its edges make no four corners under the lens as adjusted.
};

// One sighting that takes part, by indices into the bundle.
struct UsedSighting {
  int photo = 0;
  const Sighting* sighting = nullptr;
  std::string why_rejected{};  // set while its observation is rejected
  Fate fate = Fate::takes_part;

  bool suspected() const { return fate == Fate::misfits || fate == Fate::misfits_with_photo; }
};

// A bundle with poses found by vote; observations stand in the order of `used`, weighted evenly (2 px).
struct StartedBundle {
  Bundle bundle{};
  std::vector<UsedSighting> used{};  // parallel to bundle.observations
  std::vector<PlacedTag> tags{};     // of bundle.targets, sorted
  std::vector<LensGroup> groups{};
  std::vector<int> zoomed_photos{};          // that did not say so, by index into the input
  std::vector<RejectedSighting> unusable{};  // not among `used`
  std::map<int, int> copies{};               // photos that show what an earlier one shows; of which
  std::vector<ScaleBar> scale_bars{};        // of bundle.distances
  double usual_miss_px = 0.0;                // of the tags' centres, standard deviation of an axis, robust

  void reject(std::size_t observation, std::string why, Fate fate);
  void readmit(std::size_t observation);
  std::vector<RejectedSighting> all_rejected(const NetworkInput& input) const;
};

// Index of a tag among the bundle's targets, or -1.
int target_of(const StartedBundle& started, const PlacedTag& tag);

// Throws Problem(refused) when nothing hangs together.
StartedBundle start_bundle(const NetworkInput& input);

// Gives every observation corners and weights that know lens and photo shift; `noise_scale` multiplies the
// edge fits' own standard deviations.
void weigh_observations(StartedBundle& started, double noise_scale);

}  // namespace pivotfix
