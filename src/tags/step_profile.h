// SPDX-License-Identifier: Apache-2.0
// What a pixel near a blurred step sees. Private.
#pragma once

#include <vector>

namespace pivotfix {

// The light of a pixel some distance from a blurred step, 0 black, 1 white, with its derivatives.
struct PixelStep {
  double share = 0.0;
  double by_distance = 0.0;
  double by_blur = 0.0;
};

// The pixel reaches half_pixel_px to either side of its centre. Derived: the mean of the normal
// distribution's integral over the pixel; z Phi(z) + phi(z) is the integral of Phi. Taking the pixel for a
// point moves edges along pixel rows by up to 0.04 px.
//
// A table of eight steps to each standard deviation, and between them Taylor's series to the third order: the
// share is exact to 1e-6.
class StepProfile {
 public:
  StepProfile(double blur_px, double half_pixel_px);

  PixelStep at(double distance_px) const {
    const double z = distance_px * per_blur_;
    if (!(z > -reach_)) return {};
    if (z >= reach_) return {1.0, 0.0, 0.0};
    const auto i = static_cast<int>((z + reach_) * steps_per_blur + 0.5);
    const Entry& e = entries_[static_cast<std::size_t>(i)];
    const double t = z + reach_ - i * (1.0 / steps_per_blur);
    const double half_t = 0.5 * t;
    const double second = e.second + t * e.third;
    return {e.share + t * (e.first + half_t * (e.second + t * (1.0 / 3.0) * e.third)),
            (e.first + t * (e.second + half_t * e.third)) * per_blur_, second * per_blur_};
  }
  bool reaches(double distance_px) const { return distance_px * per_blur_ > -reach_; }

 private:
  static constexpr int steps_per_blur = 8;
  // The share and its derivatives by the distance, in units of the blur. The second one is the derivative by
  // the blur as well (heat equation), in the same units.
  struct Entry {
    double share = 0.0;
    double first = 0.0;
    double second = 0.0;
    double third = 0.0;
  };

  double per_blur_ = 1.0;
  double reach_ = 0.0;  // in units of the blur
  std::vector<Entry> entries_{};
};

}  // namespace pivotfix
