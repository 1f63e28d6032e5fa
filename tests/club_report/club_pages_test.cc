// SPDX-License-Identifier: Apache-2.0
// What the pages of compare and pool must hold and must never hold. All cars are invented.
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "club_report/comparison.h"
#include "club_report/comparison_words.h"
#include "club_report/pooling.h"
#include "compare/made_up_measurements.h"
#include "page/page_reader.h"

namespace pivotfix {
namespace {

constexpr const char* attack = "</title><script>window.hacked=1</script>\"'&]]>";

HardpointSet measured(unsigned seed, double link_up_mm) {
  HardpointSet set = strut_set();
  Workbench bench(seed);
  set = bench.measured(set, made_up_covariance(positions_of(set), 0.2, true));
  set.points[set.index_of("link_outer_joint")].position_vehicle_mm.z() += link_up_mm;
  return set;
}

ComparisonReport comparison_report(bool other_side = false) {
  ComparisonReport report;
  const HardpointSet after = measured(2, -5.0);
  report.comparison = compare(measured(1, 0.0), other_side ? mirrored(after) : after);
  report.before_name = attack;
  report.after_name = "after.json";
  report.program_version = "0.0";
  return report;
}

PoolReport pool_report(const std::string& label) {
  std::vector<PoolMember> cars;
  for (unsigned i = 0; i < 6; ++i)
    cars.push_back({label + std::to_string(i), measured(i, i == 3 ? 9.0 : 0.0), ""});
  return {pool(cars), "0.0"};
}

void expect_a_sound_page(const std::string& html) {
  const Page page = read_page(html);
  EXPECT_EQ(page.trouble, "");
  EXPECT_EQ(page.text.find("nan"), std::string::npos);
  EXPECT_FALSE(std::regex_search(page.text, std::regex(R"([-−]0(\.0+)?([^.0-9]|$))"))) << page.text;
  EXPECT_EQ(html.find("<script>window.hacked"), std::string::npos);
  for (const PageElement& element : page.elements)
    for (const auto& [name, value] : element.attributes)
      EXPECT_TRUE((name != "src" && name != "href") || value.starts_with("data:") || value.starts_with("#"))
          << value;
  EXPECT_TRUE(std::any_of(page.elements.begin(), page.elements.end(),
                          [](const PageElement& element) { return element.tag == "svg"; }));
}

TEST(ComparisonPage, IsSoundAndSaysWhatMoved) {
  const ComparisonReport report = comparison_report();
  const std::string html = compare_html(report);
  expect_a_sound_page(html);
  EXPECT_NE(read_page(html).text.find("Moved: link outer joint by "), std::string::npos);
  EXPECT_NE(compare_text(report).find("Moved: link outer joint by "), std::string::npos);
}

TEST(ComparisonPage, SpeaksOfSidesWhenTheyAreTwo) {
  const std::string text = read_page(compare_html(comparison_report(true))).text;
  EXPECT_NE(text.find("The sides differ, right against left: link outer joint by "), std::string::npos)
      << text;
  EXPECT_NE(text.find("camber right"), std::string::npos) << text;
}

TEST(ComparisonPage, HasNoNumberForToeThatNobodyRead) {
  const ComparisonReport report = comparison_report();
  const auto with_toe_known = [&](bool before, bool after) {
    HardpointSet first = measured(1, 0.0), second = measured(2, -5.0);
    first.wheel.toe_is_known = before;
    second.wheel.toe_is_known = after;
    ComparisonReport again = report;
    again.comparison = compare(first, second);
    return again;
  };
  const auto shows = [&](const std::string& name, bool before, bool after) {
    const auto json = nlohmann::json::parse(compare_json(with_toe_known(before, after)));
    return json["corner"]["toe_deg"].contains(name);
  };
  EXPECT_TRUE(shows("first", true, true) && shows("second", true, true) && shows("change", true, true));
  EXPECT_TRUE(shows("first", true, false));
  EXPECT_FALSE(shows("second", true, false) || shows("change", true, false));
  expect_a_sound_page(compare_html(with_toe_known(true, false)));
  expect_a_sound_page(compare_html(with_toe_known(false, false)));
}

TEST(ComparisonPage, ShowsEveryLengthInEachUnit) {
  const Page page = read_page(compare_html(comparison_report()));
  for (const char* unit : {"unit-mm", "unit-in", "unit-thou"})
    EXPECT_FALSE(page.with("div", unit).empty()) << unit;
}

// Without line ends, blanks made single.
std::string in_one_line(const std::string& text) {
  std::istringstream words(text);
  std::string line;
  for (std::string word; words >> word;) line += (line.empty() ? "" : " ") + word;
  return line;
}

// From 3 mm to go up to 5 mm to go down it is 8 mm down: neither more nor less.
TEST(ComparisonPage, SaysWhichWayTheBestHeightMoved) {
  ComparisonReport report = comparison_report();
  report.comparison.corner->best_height_found = true;
  report.comparison.corner->best_height_mm = {{3.0, 0.1}, {-5.0, 0.1}, {-8.0, 0.14}};
  EXPECT_EQ(report::change_rows(report).back(),
            (std::vector<std::string>{"rod end, still to go to its best height", "3.00 ± 0.10 mm higher",
                                      "5.00 ± 0.10 mm lower", "8.00 ± 0.14 mm lower"}));
}

TEST(ClubTexts, NameTheShareOfFalseAlarmsThatWasAskedFor) {
  for (const auto& [share, words] : {std::pair{0.05, "5 of 100"},
                                     {0.025, "2.5 of 100"},
                                     {0.5, "50 of 100"},
                                     {0.0001, "0.01 of 100"},
                                     {0.1, "10 of 100"},
                                     {0.0125, "1.25 of 100"}})
    EXPECT_EQ(report::share_words(share), words);
  CompareOptions strict;
  strict.false_alarms = 0.025;
  ComparisonReport compared = comparison_report();
  compared.comparison = compare(measured(1, 0.0), measured(2, -5.0), strict);
  EXPECT_NE(in_one_line(compare_text(compared)).find("comes in 2.5 of 100 comparisons"), std::string::npos)
      << compare_text(compared);
  std::vector<PoolMember> cars;
  for (unsigned i = 0; i < 5; ++i) cars.push_back({"car " + std::to_string(i), measured(i, 0.0), ""});
  PoolOptions wary;
  wary.false_alarms = 0.025;
  EXPECT_NE(in_one_line(pool_text({pool(cars, wary), "0.0"}))
                .find("In 2.5 of 100 pools of cars that are alike one is called odd."),
            std::string::npos);
}

// The lines as wide as they show: UTF-8 continuation bytes take no column.
void expect_to_fit_the_terminal(const std::string& text) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);)
    EXPECT_LE(std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; }), 80) << line;
}

TEST(ClubTexts, FitATerminalOf80Columns) {
  ComparisonReport compared = comparison_report();
  PoolReport pooled = pool_report("Club car of the invented Hollow Lane Motor Club, number ");
  for (const LengthUnit unit : {LengthUnit::millimetre, LengthUnit::inch}) {
    compared.unit = pooled.unit = unit;
    expect_to_fit_the_terminal(compare_text(compared));
    expect_to_fit_the_terminal(pool_text(pooled));
  }
  expect_to_fit_the_terminal(compare_text(comparison_report(true)));
  for (const HardpointSet& wide : {five_link_set(), double_wishbone_set()}) {
    const auto n = static_cast<Eigen::Index>(3 * wide.points.size());
    HardpointSet set = wide;
    set.covariance_mm2 = 2.0 * Eigen::MatrixXd::Identity(n, n);
    compared.comparison = compare(set, set);
    expect_to_fit_the_terminal(compare_text(compared));
  }
}

TEST(PoolPage, KeepsALengthInACarsNameAsItIs) {
  std::vector<PoolMember> cars;
  for (unsigned i = 0; i < 2; ++i)
    cars.push_back({"12 mm lowered, car " + std::to_string(i), measured(i, 0.0), ""});
  cars.front().set.ride_height = RideHeightMiss{3.2, 0.8};
  PoolReport report{pool(cars), "0.0"};
  const std::string in_mm = "12 mm lowered, car 0: When measured, the wheel stood 3.2 \xC2\xB1 0.8 mm above";
  const std::string in_inches =
      "12 mm lowered, car 0: When measured, the wheel stood 0.126 \xC2\xB1 0.031 in above";
  const std::string page = read_page(pool_html(report)).text;
  EXPECT_NE(page.find(in_mm), std::string::npos);
  EXPECT_NE(page.find(in_inches), std::string::npos);
  EXPECT_EQ(page.find("0.47 in"), std::string::npos) << "12 mm in inches";
  report.unit = LengthUnit::inch;
  EXPECT_EQ(pool_text(report).find("0.47 in"), std::string::npos);
}

TEST(PoolPage, IsSoundAndNamesTheOddCar) {
  const PoolReport report = pool_report(attack);
  const std::string html = pool_html(report);
  expect_a_sound_page(html);
  EXPECT_NE(read_page(html).text.find("3 is odd: its link outer joint is off most"), std::string::npos)
      << pool_text(report);
}

}  // namespace
}  // namespace pivotfix
