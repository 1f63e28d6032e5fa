// SPDX-License-Identifier: Apache-2.0
#include "tags/normal_table.h"

#include <cmath>
#include <numbers>

namespace pivotfix {

// exp(-z^2 / 2) at z = k / 64 is q^(k^2) with q = exp(-1 / 8192), made by multiplications only: the
// mathematical library's exp differs in the last bit between processors.
NormalTable::NormalTable() {
  static_assert(steps_per_unit == 64);
  constexpr double q = 0.99987793713777744127;
  constexpr int middle = size / 2;
  double power = 1.0;  // q^(k^2)
  double ratio = q;    // q^(2 k + 1)
  for (int k = 0; k <= middle; ++k) {
    const double density = power * std::numbers::inv_sqrtpi / std::numbers::sqrt2;
    entries_[static_cast<std::size_t>(middle - k)].density = density;
    entries_[static_cast<std::size_t>(middle + k)].density = density;
    power *= ratio;
    ratio *= q * q;
  }
  for (int i = 0; i < size; ++i) {
    const double z = lowest + i / static_cast<double>(steps_per_unit);
    Entry& entry = entries_[static_cast<std::size_t>(i)];
    entry.share = 0.5 * std::erfc(-z / std::numbers::sqrt2);
    entry.integral = z * entry.share + entry.density;
  }
}

const NormalTable& NormalTable::instance() {
  static const NormalTable table;
  return table;
}

}  // namespace pivotfix
