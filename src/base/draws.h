// SPDX-License-Identifier: Apache-2.0
// Random numbers that are the same on every machine, for critical values that no table has and for
// uncertainties that derivatives do not tell.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>

namespace pivotfix {

// Standard normal deviates, by Box and Muller ("A Note on the Generation of Random Normal Deviates", Annals
// of Mathematical Statistics 29, 1958): the library's own distribution may differ from one to the next.
class NormalDraws {
 public:
  explicit NormalDraws(std::uint64_t seed) : engine_(seed) {}

  double operator()() {
    if (has_second_) {
      has_second_ = false;
      return second_;
    }
    const double radius = std::sqrt(-2.0 * std::log(1.0 - even()));
    const double angle = 2.0 * std::numbers::pi * even();
    second_ = radius * std::sin(angle);
    has_second_ = true;
    return radius * std::cos(angle);
  }

 private:
  double even() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }  // 0 <= x < 1

  std::mt19937_64 engine_;
  double second_ = 0.0;
  bool has_second_ = false;
};

}  // namespace pivotfix
