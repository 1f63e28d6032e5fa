// SPDX-License-Identifier: Apache-2.0
// What a person sees of a pool of cars.
#pragma once

#include <string>

#include "base/units.h"
#include "pool/pool.h"

namespace pivotfix {

struct PoolReport {
  Pool pool{};
  std::string program_version{};
  LengthUnit unit = LengthUnit::millimetre;
};

// Odd cars first, then the tables of pivots and cars; for the terminal.
std::string pool_text(const PoolReport& input);
// One file without any outside reference, of the same look as report_html.
std::string pool_html(const PoolReport& input);

}  // namespace pivotfix
