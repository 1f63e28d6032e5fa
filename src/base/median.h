// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <span>

namespace pivotfix {

// The upper one of two middle values. The values, of which there is one at least, change places.
inline double median(std::span<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace pivotfix
