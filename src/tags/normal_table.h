// SPDX-License-Identifier: Apache-2.0
// The normal distribution without calls of the mathematical library. Private.
#pragma once

#include <array>

namespace pivotfix {

// Density, its integral (the share below z) and the integral of that, at steps of 1/64; from the nearest step
// by Taylor's series to the second order, which is exact to 1e-7.
class NormalTable {
 public:
  struct Entry {
    double density = 0.0;
    double share = 0.0;
    double integral = 0.0;
  };

  static const NormalTable& instance();

  Entry at(double z) const {
    if (!(z > lowest)) return {};
    if (z >= -lowest) return {0.0, 1.0, z};
    // NOLINTNEXTLINE(bugprone-incorrect-roundings): z lies above the lowest, what is cast is positive
    const auto i = static_cast<int>((z - lowest) * steps_per_unit + 0.5);
    const Entry& e = entries_[static_cast<std::size_t>(i)];
    const double step_z = lowest + i * (1.0 / steps_per_unit);
    const double t = z - step_z;
    const double half_t = 0.5 * t;
    const double slope = -step_z * e.density;
    return {e.density + t * (slope + half_t * (step_z * step_z - 1.0) * e.density),
            e.share + t * (e.density + half_t * slope), e.integral + t * (e.share + half_t * e.density)};
  }

 private:
  NormalTable();

  static constexpr double lowest = -6.0;
  static constexpr int steps_per_unit = 64;
  static constexpr int size = 12 * steps_per_unit + 1;
  std::array<Entry, size> entries_{};
};

}  // namespace pivotfix
