// SPDX-License-Identifier: Apache-2.0
#include "page/key.h"

namespace pivotfix::report {

Markup key(const std::vector<KeyEntry>& entries) {
  Markup items;
  for (const KeyEntry& entry : entries) {
    const Markup sample = element(
        "svg", {{"viewBox", "0 0 42 12"}, {"aria-hidden", "true"}},
        element("line", {{"class", entry.css_class}, {"x1", "0"}, {"y1", "6"}, {"x2", "42"}, {"y2", "6"}},
                Markup()));
    items += element("li", sample + plain(entry.text) + entry.more) + Markup::trusted("\n");
  }
  return element("ul", {{"class", "key"}}, items) + Markup::trusted("\n");
}

}  // namespace pivotfix::report
