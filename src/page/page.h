// SPDX-License-Identifier: Apache-2.0
// The page around a report's sections: head, style, scripts, data. Every report of the program is such a
// page.
#pragma once

#include <string>

#include "base/units.h"
#include "page/markup.h"

namespace pivotfix::report {

struct PageContent {
  std::string title{};
  LengthUnit unit = LengthUnit::millimetre;  // shown first
  Markup body{};
  std::string data_json{};      // for the scripts; empty: none
  bool draws_in_space = false;  // needs the library
};

// A whole HTML file that is well-formed XML too. It refers to nothing outside itself, and its content
// security policy lets no script run but our own, whatever a name may hold.
std::string page_html(const PageContent& content);

// The switch between units, to stand near the top; works once the page's script runs.
Markup unit_switch(LengthUnit shown_first);

}  // namespace pivotfix::report
