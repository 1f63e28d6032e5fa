// SPDX-License-Identifier: Apache-2.0
// Reads a page with Expat: whether it is well-formed, its text, and its elements with their attributes.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace pivotfix {

struct PageElement {
  std::string tag{};
  std::map<std::string, std::string> attributes{};
  std::string text{};  // directly inside
};

struct Page {
  std::string trouble{};  // empty when well-formed
  std::string text{};     // all text but style sheet and scripts
  std::vector<PageElement> elements{};

  std::vector<PageElement> with(const std::string& tag, const std::string& css_class) const;
};

Page read_page(const std::string& html);

}  // namespace pivotfix
