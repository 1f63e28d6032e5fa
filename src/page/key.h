// SPDX-License-Identifier: Apache-2.0
// What the lines of a picture mean.
#pragma once

#include <string>
#include <vector>

#include "page/markup.h"

namespace pivotfix::report {

struct KeyEntry {
  std::string css_class{};
  std::string text{};
  Markup more{};  // after the text
};

// A sample of each line with its meaning; the samples say nothing to those who listen to the page.
Markup key(const std::vector<KeyEntry>& entries);

}  // namespace pivotfix::report
