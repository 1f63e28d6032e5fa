// SPDX-License-Identifier: Apache-2.0
#include "tags/normal_table.h"

#include <cmath>
#include <numbers>

namespace pivotfix {

NormalTable::NormalTable() {
  for (int i = 0; i < size; ++i) {
    const double z = lowest + i / static_cast<double>(steps_per_unit);
    Entry& entry = entries_[static_cast<std::size_t>(i)];
    entry.density = std::exp(-0.5 * z * z) * std::numbers::inv_sqrtpi / std::numbers::sqrt2;
    entry.share = 0.5 * std::erfc(-z / std::numbers::sqrt2);
    entry.integral = z * entry.share + entry.density;
  }
}

const NormalTable& NormalTable::instance() {
  static const NormalTable table;
  return table;
}

}  // namespace pivotfix
