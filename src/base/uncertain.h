// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace pivotfix {

struct Uncertain {
  double value = 0.0;
  double sigma = 0.0;  // standard uncertainty (JCGM 100); zero when the hardpoints came without
};

}  // namespace pivotfix
