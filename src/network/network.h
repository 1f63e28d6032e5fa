// SPDX-License-Identifier: Apache-2.0
// Sightings of many photos become one network: where every camera stood, where every tag is, how each lens
// bends light; adjusted together, in millimetres, with the tags' joint covariance.
//
// Network frame: metric and right-handed, otherwise arbitrary. Camera frame: see lens/lens.h.
#pragma once

#include <Eigen/Core>
#include <compare>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "base/rigid_transform.h"
#include "lens/lens.h"
#include "lens/lens_file.h"
#include "network/picture_quality.h"
#include "photos/photos.h"
#include "tags/tags.h"

namespace pivotfix {

struct PhotoSightings {
  std::string photo{};
  CameraDescription camera{};
  std::vector<Sighting> sightings{};
  std::string set{};   // of photos between which nothing moved, but for `restless_tags`
  std::string part{};  // of the set, between which those did not move either
};

// One tag at one place: a moving tag is another one in each photo set.
struct PlacedTag {
  int number = -1;
  std::string set{};  // empty: it stays where it is through all sets; "set/part" for a restless one
  // NOLINTNEXTLINE(modernize-use-nullptr): the zero is the operator's own
  auto operator<=>(const PlacedTag&) const = default;
};

// Measured distance between the centres of two tags on one stiff strip.
struct ScaleBar {
  int from_tag = -1;
  int to_tag = -1;
  double length_mm = 0.0;
  double sigma_mm = 0.1;
};

struct NetworkInput {
  std::vector<PhotoSightings> photos{};
  std::vector<ScaleBar> scale_bars{};
  double printed_side_mm = 40.0;           // of tags that `other_sides_mm` does not name
  std::map<int, double> other_sides_mm{};  // by tag number
  std::set<int> moving_tags{};             // stand elsewhere in each photo set; all others tie the sets
  std::set<int> restless_tags{};           // stand elsewhere in each part of a set
  int threads = 1;                         // to work on; changes nothing of the result
  std::vector<LensFile> known_lenses{};    // start and pull on the lens of the photos from the same camera

  double side_mm_of(int tag_number) const;
  PlacedTag placed_tag(const PhotoSightings& photo, int tag_number) const;
};

struct Station {
  std::string photo{};
  bool used = false;
  std::string why_not{};  // set when not used
  RigidTransform network_from_camera{};
  int lens = -1;  // index into Network::lenses
  PhotoShift shift{};
  int sightings = 0;        // that took part
  std::vector<int> tags{};  // of these, indices into Network::tags
  double rms_px = 0.0;      // of tag centres, per axis
  PictureQuality picture{};
};

struct TagInSpace {
  int number = -1;
  RigidTransform network_from_tag{};
  double side_mm = 0.0;           // as adjusted
  int photos = 0;                 // that see it and took part
  double widest_angle_rad = 0.0;  // between two of its rays
  double rms_px = 0.0;            // of its centre, per axis
  std::string set{};              // that it belongs to; empty: all
  int shared_size = 0;            // index of the size that all tags of its printed side share
};

struct LensEstimate {
  std::string camera{};  // in words: make, model, picture size, focal length
  Lens lens{};
  std::array<double, lens_parameter_count> sigma{};  // zero for parameters that were held
  LensCovariance covariance = LensCovariance::Zero();
  std::string lens_file{};  // that it started from; empty: none
  // That these photos do not tell: they stay at what is usual, or known beforehand.
  std::vector<LensParameter> undetermined{};
  int photos = 0;
  int width_px = 0, height_px = 0;  // of its pictures
};

// Shorter than any rule tells.
inline constexpr double finest_length_mm = 0.02;

struct ScaleBarResult {
  ScaleBar bar{};
  double adjusted_mm = 0.0;
  double normalised_residual = 0.0;  // (adjusted - measured) over the residual's own standard deviation
};

struct RejectedSighting {
  std::string photo{};
  int tag_number = -1;
  std::string reason{};
};

// Two adjustments of their own, from the odd and from the even photos.
struct CrossValidation {
  bool done = false;          // false: too few photos or common tags for it
  int tags = 0;               // that both place
  double apart_rms_mm = 0.0;  // between both places of a tag, 3-D
  // Root mean square of these differences over what their covariances predict. One is the truth of a network
  // that knows all its errors; where it is larger, the stated covariance has been widened by its square at
  // least.
  double ratio = 1.0;
};

struct Network {
  std::vector<Station> stations{};  // in the order of the input's photos
  std::vector<TagInSpace> tags{};   // by number, then by set
  // 6n x 6n in the order of `tags`: translation (mm), then rotation vector (rad), both in network axes, the
  // rotation applied from the left. Its datum is arbitrary: only quantities that no shift or turn of the
  // network changes (lengths, angles, coordinates in axes that tags define) may be drawn from it.
  Eigen::MatrixXd tag_covariance{};
  // The same continued by what tags share: a row for each size (relative to the printed one), then
  // lens_parameter_count for each lens; zero where a value is held.
  Eigen::MatrixXd joint_covariance{};
  std::vector<LensEstimate> lenses{};
  std::vector<ScaleBarResult> scale_bars{};
  std::vector<RejectedSighting> rejected{};
  double centre_rms_px = 0.0;  // of all tag centres, per axis
  double noise_factor = 1.0;   // by which sighting covariances were scaled (a posteriori sigma0)
  PhotoShift shift_sigma{};    // found spread of the photos' shifts
  CrossValidation cross_validation{};
  double widened = 1.0;  // by which all stated standard deviations were multiplied, for the largest cause
  // What a person should look at, in plain sentences: a tag that was moved, strips that disagree.
  std::vector<std::string> warnings{};
  int observations = 0;
  int unknowns = 0;

  // Index into `tags`, or -1: as it stands in `set`, or as it stands throughout.
  int index_of_tag(int number, const std::string& set = {}) const;
};

// Throws Problem(refused) with numbers found and needed when no trustworthy network can be made.
Network adjust_network(const NetworkInput& input);

}  // namespace pivotfix
