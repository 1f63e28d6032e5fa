// SPDX-License-Identifier: Apache-2.0
// What a pixel near a blurred step sees. Private.
#pragma once

#include <vector>

#include "tags/four_floats.h"

namespace pivotfix {

// The light of four pixels some distance from a blurred step, 0 black, 1 white, with its derivatives.
struct PixelSteps {
  FourFloats share{};
  FourFloats by_distance{};
  FourFloats by_blur{};
};

// The pixel reaches half_pixel_px to either side of its centre. Derived: the mean of the normal
// distribution's integral over the pixel; z Phi(z) + phi(z) is the integral of Phi. Taking the pixel for a
// point moves edges along pixel rows by up to 0.04 px.
//
// A table of five steps to each standard deviation, and between them Taylor's series to the third order: the
// share is exact to 3e-6. Beyond 4.5 standard deviations from the pixel as little is left of the step.
class StepProfile {
 public:
  StepProfile(double blur_px, double half_pixel_px);

  PixelSteps at(FourFloats distance_px) const {
    const FourFloats place = within(distance_px * per_blur_ + reach_, 0.0F, 2.0F * reach_);
    const FourInts i = __builtin_convertvector(place * steps_per_blur + 0.5F, FourInts);
    const FourFloats t = place - __builtin_convertvector(i, FourFloats) * (1.0F / steps_per_blur);
    const FourFloats half_t = 0.5F * t;
    const Transposed e = transposed(entries_[i[0]], entries_[i[1]], entries_[i[2]], entries_[i[3]]);
    const FourFloats &share = e.row[0], &first = e.row[1], &second = e.row[2], &third = e.row[3];
    return {share + t * (first + half_t * (second + t * third * (1.0F / 3.0F))),
            (first + t * (second + half_t * third)) * per_blur_, (second + t * third) * per_blur_};
  }
  bool reaches(double distance_px) const { return static_cast<float>(distance_px) * per_blur_ > -reach_; }

 private:
  static constexpr int steps_per_blur = 5;

  float per_blur_ = 1.0F;
  float reach_ = 0.0F;  // in units of the blur
  // The share and its first, second and third derivatives by the distance, in units of the blur. The second
  // one is the derivative by the blur as well (heat equation), in the same units.
  std::vector<FourFloats> entries_{};
};

}  // namespace pivotfix
