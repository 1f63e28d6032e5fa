// SPDX-License-Identifier: Apache-2.0
// What a page must hold and must never hold. How it looks is for the eye: with PIVOTFIX_WRITE_REPORTS=folder
// the made-up reports are written there.
#include "report/report.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <regex>

#include "made_up_report.h"
#include "page/page_reader.h"
#include "report/photographs.h"

namespace pivotfix {
namespace {

std::size_t columns_of(const std::string& line) {
  return static_cast<std::size_t>(
      std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

void write_for_the_eye(const std::string& name, const std::string& content) {
  if (const char* folder = std::getenv("PIVOTFIX_WRITE_REPORTS"))
    std::ofstream(std::string(folder) + "/" + name) << content;
}

// Not-a-number words as whole words: "Instant" and "cleaning" are none.
bool speaks_of_no_number(const std::string& text) {
  return std::regex_search(
      text, std::regex(R"((^|[^A-Za-z])[-+]?(nan|inf|infinity)([^A-Za-z]|$))", std::regex::icase));
}

class EveryReport : public testing::TestWithParam<int> {
 protected:
  static ReportInput input() {
    switch (GetParam()) {
      case 0:
        return made_up_strut_report();
      case 1:
        return made_up_double_wishbone_report();
      case 2: {
        ReportInput parallel = made_up_double_wishbone_report();
        parallel.advice.front_view.arms_parallel = true;
        return parallel;
      }
      case 3: {
        ReportInput above = made_up_strut_report();
        above.rod_end.mount = RodEndMount::above_arm;
        above.unit = LengthUnit::inch;
        return above;
      }
      case 4: {
        ReportInput broken = made_up_strut_report();
        const double none = std::numeric_limits<double>::quiet_NaN();
        broken.advice.mismatch_rad = {none, none};
        broken.advice.best_height_change_mm = {none, none};
        broken.advice.now.toe_change_rad[3] = none;
        broken.advice.now.largest_change_rad = std::numeric_limits<double>::infinity();
        broken.advice.front_view.instant_centre_yz_mm = {none, none};
        broken.network->centre_rms_px = none;
        return broken;
      }
      default:
        return {};
    }
  }
};
INSTANTIATE_TEST_SUITE_P(Report, EveryReport, testing::Range(0, 6));

TEST_P(EveryReport, IsWellFormed) {
  const std::string html = report_html(input());
  const std::string number = std::to_string(GetParam());
  write_for_the_eye("report-" + number + ".html", html);
  write_for_the_eye("report-" + number + ".txt", steer_text(input()));
  EXPECT_EQ(read_page(html).trouble, "");
}

TEST_P(EveryReport, NeverPrintsWhatIsNoNumberNorANegativeZero) {
  const std::regex negative_zero(R"([-−]0(\.0+)?([^.0-9]|$))");
  const Page page = read_page(report_html(input()));
  EXPECT_FALSE(speaks_of_no_number(page.text)) << page.text;
  EXPECT_FALSE(std::regex_search(page.text, negative_zero));
  for (const PageElement& element : page.elements)
    for (const auto& [name, value] : element.attributes)
      EXPECT_FALSE(speaks_of_no_number(value)) << element.tag << " " << name << " " << value;
  EXPECT_FALSE(speaks_of_no_number(steer_text(input()))) << steer_text(input());
}

TEST_P(EveryReport, AsksForNothingFromOutside) {
  const Page page = read_page(report_html(input()));
  for (const PageElement& element : page.elements) {
    for (const char* tag : {"link", "img", "iframe", "object", "embed"}) EXPECT_NE(element.tag, tag);
    for (const char* name : {"src", "xlink:href", "style", "onload"})
      EXPECT_FALSE(element.attributes.contains(name)) << element.tag << " " << name;
    if (const auto href = element.attributes.find("href"); href != element.attributes.end()) {
      EXPECT_TRUE(href->second.starts_with("data:image/jpeg;base64,") || href->second.starts_with("#"))
          << href->second.substr(0, 60);
    }
    if (element.tag == "style") {
      EXPECT_EQ(element.text.find("url("), std::string::npos);
      EXPECT_EQ(element.text.find("@import"), std::string::npos);
    }
  }
}

// Whatever a name holds: only scripts of these digests run. The digests are checked against the scripts where
// a browser does it, in page_test.py.
TEST_P(EveryReport, LetsNoScriptRunButItsOwn) {
  const Page page = read_page(report_html(input()));
  std::string policy;
  std::size_t scripts = 0;
  for (const PageElement& element : page.elements) {
    const auto is_policy = element.attributes.find("http-equiv");
    if (element.tag == "meta" && is_policy != element.attributes.end())
      policy = element.attributes.at("content");
    if (element.tag != "script") continue;
    const auto type = element.attributes.find("type");
    if (type == element.attributes.end())
      ++scripts;
    else
      EXPECT_EQ(type->second, "application/json");
  }
  EXPECT_GE(scripts, 1u);
  EXPECT_LE(scripts, 2u);
  EXPECT_TRUE(
      std::regex_match(policy, std::regex("default-src 'none'; img-src data:; style-src 'unsafe-inline'; "
                                          "script-src( 'sha256-[A-Za-z0-9+/]{43}=')+")))
      << policy;
}

TEST_P(EveryReport, CarriesEveryCautionAndOneNearTheTop) {
  const std::string text = read_page(report_html(input())).text;
  for (const char* words :
       {"axle stands on firm", "jack only", "safety-critical", "torques", "tapers", "locknut", "thread",
        "qualified person before", "Local rules", "does not certify", "geometry only", "worn joints"})
    EXPECT_NE(text.find(words), std::string::npos) << words;
  const std::size_t first = text.find("Caution.");
  ASSERT_NE(first, std::string::npos);
  const std::size_t wheel = text.find("What the wheel does");
  ASSERT_NE(wheel, std::string::npos);
  EXPECT_LT(first, wheel);
  EXPECT_NE(steer_text(input()).find("Caution:"), std::string::npos);
}

TEST_P(EveryReport, SaysInWordsWhatEachPictureShows) {
  const Page page = read_page(report_html(input()));
  std::vector<std::string> ids;
  for (const PageElement& element : page.elements)
    if (const auto id = element.attributes.find("id"); id != element.attributes.end()) {
      EXPECT_EQ(std::count(ids.begin(), ids.end(), id->second), 0) << "twice: " << id->second;
      ids.push_back(id->second);
    }
  for (const PageElement& element : page.elements) {
    if (element.tag != "svg" || element.attributes.contains("aria-hidden")) continue;
    EXPECT_EQ(element.attributes.at("role"), "img");
    const std::string id = element.attributes.at("id");
    EXPECT_EQ(std::count(ids.begin(), ids.end(), id + "-title"), 1);
    EXPECT_EQ(std::count(ids.begin(), ids.end(), id + "-desc"), 1);
  }
}

TEST_P(EveryReport, FitsTheTerminal) {
  const std::string text = steer_text(input());
  for (std::size_t start = 0; start < text.size();) {
    const std::size_t end = text.find('\n', start);
    ASSERT_NE(end, std::string::npos) << "the last line is not ended";
    EXPECT_LE(columns_of(text.substr(start, end - start)), 80u) << text.substr(start, end - start);
    start = end + 1;
  }
}

TEST(ReportHtml, PutsTheAnswerBeforeEverythingElse) {
  const ReportInput input = made_up_strut_report();
  const std::string text = read_page(report_html(input)).text;
  const std::size_t answer = text.find(input.advice.sentences[0]);
  ASSERT_NE(answer, std::string::npos);
  for (const char* later : {"largest toe change", "The stack", "Hardpoints", "photographed", "Cautions"}) {
    const std::size_t at = text.find(later);
    ASSERT_NE(at, std::string::npos) << later;
    EXPECT_LT(answer, at) << later;
  }
  const std::string on_terminal = steer_text(input);
  const std::size_t mismatch = on_terminal.find("mismatch");
  ASSERT_NE(mismatch, std::string::npos);
  EXPECT_LT(on_terminal.find("Put 2"), mismatch);
}

TEST(ReportHtml, TextFromUsersStaysText) {
  const std::string attack = "<script>alert(1)</script>\"'&<b onload=x>";
  ReportInput input = made_up_strut_report();
  input.title = attack;
  input.program_version = attack;
  input.hardpoints.points[0].way = attack;
  input.hardpoints.points[1].name = attack;
  input.advice.stack_now.between[0].label = attack;
  input.advice.sentences[0] = attack;
  input.advice.warnings[0] = attack;
  input.advice.now.ended_early = attack;
  input.network->stations[0].photo = attack;
  input.network->stations[7].why_not = attack;
  input.network->lenses[0].camera = attack;
  input.network->rejected[0].reason = attack;
  const std::string html = report_html(input);
  EXPECT_EQ(html.find("<script>alert"), std::string::npos);
  EXPECT_EQ(html.find("<b onload"), std::string::npos);
  const Page page = read_page(html);
  ASSERT_EQ(page.trouble, "");
  std::size_t count = 0;
  for (std::size_t at = page.text.find(attack); at != std::string::npos; at = page.text.find(attack, at + 1))
    ++count;
  EXPECT_GE(count, 11u);  // title counts twice, the missing hardpoint's picture is left out
}

TEST(ReportHtml, BytesThatNoPageMayHoldAreReplaced) {
  ReportInput input = made_up_strut_report();
  input.title = std::string("a\x01\x1b[31m\xff\xc3(\xed\xa0\x80\xef\xbf\xbf z") + "\xe2\x82";
  EXPECT_EQ(read_page(report_html(input)).trouble, "");
  EXPECT_EQ(steer_text(input).find('\x1b'), std::string::npos);
}

TEST(ReportHtml, NumbersAreThoseOfTheInput) {
  const std::string text = read_page(report_html(made_up_strut_report())).text;
  for (const char* words :
       {"7.14 ± 0.10°", "5.66 ± 0.13°", "−3.95 ± 0.07°", "3.19 ± 0.08°", "9.4 ± 0.4 mm lower", "8.6 mm lower",
        "142.31 ± 0.21", "205.42 ± 0.34", "−158.87 ± 0.21", "tag 11, 26.00 mm behind its face",
        "318 ± 9 mm (12.5 in) below", "2.9°", "11.5°"})
    EXPECT_NE(text.find(words), std::string::npos) << words;
  // Toe at +40 mm: -0.0099 * 40 + 0.000012 * 1600 = -0.3768 deg; 406.4 mm * sin of it = -2.67 mm.
  EXPECT_NE(text.find("−0.377 ± 0.016"), std::string::npos);
  EXPECT_NE(text.find("−2.67"), std::string::npos);
  // At 25.4 mm, between the points at 24 and 26: -0.25146 + 0.00774 = -0.2437.
  EXPECT_NE(text.find("−0.244 ± 0.010"), std::string::npos);
}

TEST(ReportHtml, WithoutUncertaintiesNothingIsPlusMinus) {
  ReportInput input = made_up_double_wishbone_report();
  const std::string text = read_page(report_html(input)).text;
  EXPECT_EQ(text.find("±"), std::string::npos);
  EXPECT_NE(text.find("came without uncertainties"), std::string::npos);
  EXPECT_EQ(read_page(report_html(input)).with("polygon", "band-now").size(), 0u);
  EXPECT_EQ(steer_text(input).find("±"), std::string::npos);
}

TEST(ReportHtml, WithoutNetworkThereIsNoSectionOnPhotographs) {
  EXPECT_EQ(report_html(made_up_double_wishbone_report()).find("photographed"), std::string::npos);
  EXPECT_NE(report_html(made_up_strut_report()).find("photographed"), std::string::npos);
}

TEST(ReportHtml, SaysOfPhotographsWhatIsGoodAndWhatNot) {
  const std::string text = read_page(report_html(made_up_strut_report())).text;
  for (const char* words : {"25 of 26 photos used", "only 2 tags were found, 4 are needed",
                            "fits worse than the others", "only 3 photos", "seen from one side only",
                            "measure it again", "seen at 82° from its normal", "✓ good"})
    EXPECT_NE(text.find(words), std::string::npos) << words;
}

// What else widens them (bent pictures, rounds without an end) may ask for more.
TEST(HalvesText, PromisesNoMoreThanTheHalvesTell) {
  const auto words = [](double ratio) {
    return report::halves_text({true, 12, 0.02, ratio}, LengthUnit::millimetre);
  };
  EXPECT_NE(
      words(1.3).find(
          "1.30 times what their uncertainties let expect; all uncertainties are widened at least by that"),
      std::string::npos);
  EXPECT_EQ(words(0.9).find("widened"), std::string::npos);
}

TEST(LocateText, TabulatesPointsAndNamesWhatToLookAtAgain) {
  const ReportInput input = made_up_strut_report();
  const std::string text = locate_text(input.hardpoints, *input.network, LengthUnit::millimetre);
  write_for_the_eye("locate.txt", text);
  EXPECT_NE(text.find("  link outer joint       -139.92 ± 0.21  690.36 ± 0.21  262.84 ± 0.34\n"),
            std::string::npos)
      << text;
  EXPECT_NE(text.find("scale strip 62-63: off by -0.39 mm, measure it again"), std::string::npos) << text;
  EXPECT_NE(text.find("tag 23: only 3 photos"), std::string::npos);
  // 0.004 / 25.4 = 0.00016
  Network fine = *input.network;
  for (ScaleBarResult& result : fine.scale_bars) {
    result.adjusted_mm = result.bar.length_mm + 0.004;
    result.normalised_residual = 3.7;
  }
  for (const auto& [unit, off] :
       {std::pair(LengthUnit::millimetre, "off by 0.004 mm, its stated uncertainty"),
        std::pair(LengthUnit::inch, "off by 0.0002 in, its stated uncertainty")})
    EXPECT_NE(locate_text(input.hardpoints, fine, unit).find(off), std::string::npos) << off;
  const std::string inches = locate_text(input.hardpoints, *input.network, LengthUnit::inch);
  // -139.92 / 25.4 = -5.5087, 0.34 / 25.4 = 0.0134
  EXPECT_NE(inches.find("-5.509 ± 0.008"), std::string::npos) << inches;
}

}  // namespace
}  // namespace pivotfix
