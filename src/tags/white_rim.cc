// SPDX-License-Identifier: Apache-2.0
#include "tags/white_rim.h"

#include <algorithm>
#include <cmath>

#include "tags/normal_table.h"

namespace pivotfix {
namespace {

constexpr double step_px = 0.5;
constexpr int places = 80;  // farther out than 20 px no blurred edge is looked at
constexpr int middle = places / 2;

// Mean light over all bins by the distance from the expected edge, half a pixel each.
struct MeanProfile {
  std::array<double, places> sum{};
  std::array<int, places> count{};

  explicit MeanProfile(const EdgeStrip& strip) {
    for (const EdgeBin& bin : strip.bins) {
      for (std::size_t i = bin.first_pixel; i < bin.first_pixel + bin.pixel_count; ++i) {
        const int place = static_cast<int>(std::floor(strip.across_px[i] / step_px)) + middle;
        if (place < 0 || place >= places) continue;
        sum[static_cast<std::size_t>(place)] += strip.light[i];
        ++count[static_cast<std::size_t>(place)];
      }
    }
  }
  bool known(int place) const { return count[static_cast<std::size_t>(place)] > 0; }
  double light(int place) const {
    return sum[static_cast<std::size_t>(place)] / count[static_cast<std::size_t>(place)];
  }
};

}  // namespace

WhiteRim white_rim(const EdgeStrip& strip) {
  constexpr double by_sharpening = 0.15;  // cameras brighten the paper beside black by so much
  const MeanProfile mean(strip);
  double darkest = 1.0, lightest = 0.0, outermost = 0.0, lightest_px = 0.0;
  for (int place = 0; place < places; ++place) {
    if (!mean.known(place)) continue;
    outermost = mean.light(place);
    darkest = std::min(darkest, outermost);
    if (place < middle || outermost <= lightest) continue;
    lightest = outermost;
    lightest_px = (place + 1 - middle) * step_px;
  }
  if (lightest <= darkest) return {};
  const double fall = (lightest - outermost) / (lightest - darkest);
  return fall > by_sharpening ? WhiteRim{lightest_px, fall} : WhiteRim{};
}

// Fitted to drawn tags of blurs from 0.5 to 2 px and rims from 1 to 8 px; most of them lie within a third of
// it.
double inward_pull_px(const WhiteRim& rim, double blur_px) {
  constexpr double pixel_px = 0.289;  // standard deviation of a pixel's own area
  const double whole_blur_px = std::hypot(blur_px, pixel_px);
  return 4.26 * whole_blur_px * NormalTable::instance().at(1.13 * rim.lightest_px / whole_blur_px).density;
}

}  // namespace pivotfix
