// SPDX-License-Identifier: Apache-2.0
#include "tags/step_profile.h"

#include <cmath>

#include "tags/normal_table.h"

namespace pivotfix {

StepProfile::StepProfile(double blur_px, double half_pixel_px)
    : per_blur_(static_cast<float>(1.0 / blur_px)) {
  constexpr double normal_reach = 4.5;
  const double half = half_pixel_px / blur_px;
  const double per_pixel = 0.5 / half;
  const auto steps = static_cast<int>(std::ceil((normal_reach + half) * steps_per_blur));
  reach_ = static_cast<float>(steps) / steps_per_blur;
  const NormalTable& normal = NormalTable::instance();
  entries_.reserve(static_cast<std::size_t>(2 * steps + 1));
  for (int i = -steps; i <= steps; ++i) {
    const double z = static_cast<double>(i) / steps_per_blur;
    const NormalTable::Entry upper = normal.at(z + half);
    const NormalTable::Entry lower = normal.at(z - half);
    entries_.push_back(FourFloats{
        static_cast<float>(per_pixel * (upper.integral - lower.integral)),
        static_cast<float>(per_pixel * (upper.share - lower.share)),
        static_cast<float>(per_pixel * (upper.density - lower.density)),
        static_cast<float>(per_pixel * ((z - half) * lower.density - (z + half) * upper.density))});
  }
}

}  // namespace pivotfix
