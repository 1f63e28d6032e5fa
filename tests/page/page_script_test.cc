// SPDX-License-Identifier: Apache-2.0
// What the page's script must not hold: one word that an old phone cannot read, and none of it runs. What it
// does is tested in a browser, tests/report/browser.
#include <gtest/gtest.h>

#include <regex>
#include <string>

#include "page/page_files.h"

namespace pivotfix::report {
namespace {

// ECMAScript 2020 and later: optional chaining, "??", private members, BigInt.
TEST(PageScript, UsesNothingThatPhonesOfTheYear2018CannotRead) {
  const std::string script(page_script());
  ASSERT_NE(script.find("startTravel"), std::string::npos);
  for (const char* late :
       {"?.", "??", "||=", "&&=", "replaceAll(", ".at(", "structuredClone", "Object.hasOwn"})
    EXPECT_EQ(script.find(late), std::string::npos) << late;
  EXPECT_FALSE(std::regex_search(script, std::regex(R"(this\.#|\d+n\b)")));
}

}  // namespace
}  // namespace pivotfix::report
