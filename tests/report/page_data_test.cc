// SPDX-License-Identifier: Apache-2.0
// What the page's scripts get, on a corner that is solved for real.
#include "report/page_data.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "page/each_unit.h"
#include "page/page_reader.h"
#include "report/report.h"
#include "solved_report.h"

namespace pivotfix {
namespace {

nlohmann::json data_of(const Page& page) {
  for (const PageElement& element : page.elements)
    if (element.tag == "script" && element.attributes.contains("id"))
      return nlohmann::json::parse(element.text);
  return nullptr;
}

// What stands beside the first row head of these words.
std::string cell_after(const Page& page, const std::string& head) {
  for (std::size_t i = 0; i + 1 < page.elements.size(); ++i)
    if (page.elements[i].tag == "th" && page.elements[i].text == head) return page.elements[i + 1].text;
  return "no row " + head;
}

TEST(PageData, HoldsATextForEveryChoiceAndEveryCellThatFollowsTheSlider) {
  const ReportInput input = solved_report(question_of_a_strut());
  const Page page = read_page(report_html(input));
  ASSERT_EQ(page.trouble, "");
  const nlohmann::json data = data_of(page);
  const std::size_t choices = input.exploration->choices.size();
  ASSERT_EQ(data.at("choices").size(), choices);
  std::size_t cells = 0;
  for (const PageElement& element : page.elements) {
    const auto live = element.attributes.find("data-live");
    if (live == element.attributes.end()) continue;
    ++cells;
    const nlohmann::json& texts = data.at("live").at(live->second);
    ASSERT_EQ(texts.size(), choices);
    const std::size_t row = std::stoul(element.attributes.at("data-row"));
    EXPECT_EQ(texts.at(input.exploration->suggested).at(row), element.text) << live->second;
  }
  EXPECT_GT(cells, 30u);
  EXPECT_EQ(page.with("g", "choice chosen").size() * (choices - 1), page.with("g", "choice").size());
}

// Terminal and page call the same thing by the same name; another height is called chosen.
TEST(PageData, CallsTheSuggestedHeightTheBestOneWhereNoStackIsAtHand) {
  ReportInput input = solved_report(question_of_a_strut());
  input.rod_end.stock.clear();
  input.rod_end.between_now.clear();
  const AdviceQuestion question{input.hardpoints, input.rod_end, input.advice.driving, {}};
  input.advice = advise(question);
  input.exploration = explore(question, input.advice);
  ASSERT_TRUE(input.advice.stacks.empty());
  EXPECT_NE(steer_text(input).find("at the best height"), std::string::npos);
  const Page page = read_page(report_html(input));
  ASSERT_EQ(page.trouble, "");
  const nlohmann::json names = data_of(page).at("live").at("plan-mm");
  ASSERT_EQ(names.size(), input.exploration->choices.size());
  for (std::size_t i = 0; i < names.size(); ++i)
    EXPECT_EQ(names.at(i).at(0),
              i == input.exploration->suggested ? "at the best height" : "at the chosen height");
  std::size_t heads = 0;
  for (const PageElement& element : page.elements) {
    const auto live = element.attributes.find("data-live");
    if (live == element.attributes.end() || !live->second.starts_with("plan-")) continue;
    EXPECT_EQ(element.text, "at the best height") << element.tag;
    if (element.tag == "th") ++heads;
  }
  EXPECT_EQ(heads, std::size(report::all_units));
}

TEST(PageData, ClaimsNoBestHeightWhereThereIsNone) {
  ReportInput input = solved_report(question_of_a_strut());
  input.hardpoints.rod_end.reset();
  input.rod_end = {};
  input.rod_end.stud_axis_vehicle = Eigen::Vector3d::UnitX();  // lies level
  const AdviceQuestion question{input.hardpoints, input.rod_end, input.advice.driving, {}};
  input.advice = advise(question);
  input.exploration = explore(question, input.advice);
  ASSERT_FALSE(input.advice.found);
  EXPECT_EQ(steer_text(input).find("at the best height"), std::string::npos) << steer_text(input);
  const Page page = read_page(report_html(input));
  for (const PageElement& head : page.elements) {
    if (head.tag != "th") continue;
    EXPECT_EQ(head.text.find("at the best height"), std::string::npos) << head.text;
    EXPECT_FALSE(head.text.starts_with("best height")) << head.text;
  }
  EXPECT_EQ(cell_after(page, "height for no slope at ride height"), "–");
  EXPECT_EQ(cell_after(page, "best rod-end height over the travel"), "–");
}

TEST(PageData, GivesTheHeightWithoutSlopeAlikeInBothTables) {
  const ReportInput input = solved_report(question_of_a_strut());
  ASSERT_EQ(input.advice.heights.at(2).aim, HeightAim::zero_slope);
  ASSERT_TRUE(input.advice.heights.at(2).found);
  const Page page = read_page(report_html(input));
  const std::string height = cell_after(page, "height for no slope at ride height");
  EXPECT_NE(height.find(" mm "), std::string::npos) << height;
  EXPECT_EQ(cell_after(page, "no slope at ride height"), height);
}

// 0.3 mm too high makes 0.014 degrees over 40 mm of travel: nothing is to be changed.
TEST(PageData, SuggestsWhatIsOnTheCarWhereNoChangeIsWorthMaking) {
  Parallelogram corner;
  corner.outer_high_mm = 0.3;
  AdviceQuestion question = question_of_a_strut();
  question.hardpoints = corner.set();
  question.rod_end.stock.push_back({0.3, 1, "thin"});
  const ReportInput input = solved_report(question);
  ASSERT_FALSE(input.advice.worth_changing);
  ASSERT_NEAR(input.advice.stacks.at(0).height_change_mm, -0.3, 1e-9);
  const Page page = read_page(report_html(input));
  ASSERT_EQ(page.trouble, "");
  const nlohmann::json data = data_of(page);
  EXPECT_EQ(data.at("suggested"), data.at("now"));
  const nlohmann::json& names = data.at("live").at("plan-mm");
  for (std::size_t i = 0; i < names.size(); ++i)
    EXPECT_EQ(names.at(i).at(0), i == input.exploration->now ? "left as it is" : "with the chosen stack");
  EXPECT_NE(page.text.find("Blue adds up to 2.54 mm (0.100 in) now and 2.54 mm (0.100 in) after."),
            std::string::npos);
}

// Tilt and ways of driving are worked out for the suggestion alone.
TEST(PageData, SaysWhatDoesNotFollowTheSlider) {
  const std::string note = "Tilt is checked for the suggested stack only.";
  AdviceQuestion question = question_of_a_strut();
  const std::string unchecked = read_page(report_html(solved_report(question))).text;
  EXPECT_EQ(unchecked.find(note), std::string::npos);
  question.rod_end.sizes.allowed_tilt_rad = rad_from_deg(13.0);
  const Page page = read_page(report_html(solved_report(question)));
  EXPECT_NE(page.text.find(note), std::string::npos);
  std::vector<std::string> heads;
  for (const PageElement& element : page.elements)
    if (element.tag == "th") heads.push_back(element.text);
  for (const char* head : {"as suggested", "needed with the suggested change"})
    EXPECT_NE(std::find(heads.begin(), heads.end(), head), heads.end()) << head;
  EXPECT_EQ(std::find(heads.begin(), heads.end(), "after"), heads.end());
  question.rod_end.stock.clear();
  question.rod_end.between_now.clear();
  EXPECT_NE(read_page(report_html(solved_report(question)))
                .text.find("Tilt is checked for the suggested height only."),
            std::string::npos);
}

TEST(PageData, MovesThePointsOfTheKnuckleOnly) {
  const nlohmann::json data = nlohmann::json::parse(report::page_data(solved_report(question_of_a_strut())));
  const nlohmann::json& space = data.at("space");
  const nlohmann::json& low = space.at("states").front().at("points");
  const nlohmann::json& high = space.at("states").back().at("points");
  for (std::size_t i = 0; i < space.at("points").size(); ++i) {
    const std::string name = space.at("points").at(i).at("name");
    const double rise = high.at(3 * i + 2).get<double>() - low.at(3 * i + 2).get<double>();
    const bool still = name.ends_with("pivot") || name == "link inner joint" || name == "strut top mount";
    if (still)
      EXPECT_EQ(rise, 0.0) << name;
    else if (name == "wheel centre")
      EXPECT_NEAR(rise, 80.0, 0.11);
    else
      EXPECT_NEAR(rise, 80.0, 12.0) << name;
  }
}

TEST(PageData, NoNameCanEndTheElementItStandsIn) {
  const std::string attack = "</script><script>alert(1)</script><!-- ]]> \xff";
  const std::string html = report_html(solved_report(question_of_a_strut(attack)));
  EXPECT_EQ(html.find("<script>alert"), std::string::npos);
  EXPECT_EQ(html.find("<!-- ]]>"), std::string::npos);
  EXPECT_EQ(read_page(html).trouble, "");
  EXPECT_NE(data_of(read_page(html)).dump().find("</script><script>alert(1)"), std::string::npos);
}

}  // namespace
}  // namespace pivotfix
