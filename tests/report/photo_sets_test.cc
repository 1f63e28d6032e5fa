// SPDX-License-Identifier: Apache-2.0
// How the car stood, as the terminal and the page say it.
#include "report/photo_sets.h"

#include <gtest/gtest.h>

#include "base/units.h"

namespace pivotfix {
namespace {

PhotoSetFigures made_up() {
  PhotoSetFigures figures;
  figures.centre_plane.words = "lies half way between the hubs of both axles";
  figures.ride_height = {{"ride", 371.2, 374.0, 2.9, 1.1}, {"up 20", 353.0, 374.0, -0.4, 1.1}};
  WheelReading reading;
  reading.height = "ride";
  reading.toe_rad = rad_from_deg(0.123);
  reading.toe_sigma_rad = rad_from_deg(0.004);
  reading.camber_rad = rad_from_deg(-1.5);
  reading.camber_sigma_rad = rad_from_deg(0.004);
  figures.wheel = {reading};
  figures.floor_slope = FloorSlope{{-1.0, -1.0, 0.002, 0.003}, {0.1, 0.15, 0.05, -0.04}};
  return figures;
}

TEST(PhotoSets, SayHowFarEachIsFromTheRecordedHeight) {
  const report::Rows rows = report::ride_height_rows(made_up(), LengthUnit::millimetre);
  EXPECT_EQ(rows[0],
            (std::vector<std::string>{"ride", "371.2 mm", "374.0 mm", "2.9 \xC2\xB1 1.1 mm too high"}));
  EXPECT_EQ(rows[1][3], "as recorded (0.4 \xC2\xB1 1.1 mm off)");
}

TEST(PhotoSets, GiveToeAndCamberWithTheirUncertainty) {
  const report::Rows rows = report::wheel_rows(made_up(), LengthUnit::millimetre);
  EXPECT_EQ(rows[0][2], "0.123 \xC2\xB1 0.004\xC2\xB0");
  EXPECT_EQ(rows[0][3], "-1.500 \xC2\xB1 0.004\xC2\xB0");
}

TEST(PhotoSets, SayWhatTheAxesRestOnAndWhatAFloorsSlopeDoes) {
  const std::string text = photo_sets_text(made_up(), LengthUnit::millimetre);
  EXPECT_NE(text.find("The car's centre plane lies half way between the hubs of both"), std::string::npos);
  EXPECT_NE(text.find("runout"), std::string::npos);  // the hub was not turned
  EXPECT_NE(report::floor_slope_sentence(made_up()).find("changes the mismatch by 0.002\xC2\xB0"),
            std::string::npos);
  EXPECT_EQ(report::floor_slope_sentence({}), "");
}

TEST(PhotoSets, ArePartOfThePage) {
  ReportInput input;
  EXPECT_TRUE(report::photo_sets_section(input).empty());
  input.photo_sets = made_up();
  const std::string page = report::photo_sets_section(input).str();
  for (const char* words : {"How the car stood", "too high", "centre plane", "degree of slope"})
    EXPECT_NE(page.find(words), std::string::npos) << words;
  // "up 20" has a height and no wheel reading.
  EXPECT_NE(page.find("as recorded (0.4 \xC2\xB1 1.1 mm off)</td>"), std::string::npos) << page;
}

TEST(PhotoSets, AreShownInEachUnitWhateverTheJobsUnitIs) {
  ReportInput input;
  input.unit = LengthUnit::inch;
  input.photo_sets = made_up();
  const std::string page = report::photo_sets_section(input).str();
  // 371.2 mm from hub to body.
  for (const auto& [unit, hub_to_body] :
       {std::pair{"unit-mm", "371.2 mm"}, {"unit-in", "14.614 in"}, {"unit-thou", "14614 thou"}}) {
    const std::size_t at = page.find("<div class=\"" + std::string(unit) + "\">");
    ASSERT_NE(at, std::string::npos) << unit;
    const std::string table = page.substr(at, page.find("</table>", at) - at);
    EXPECT_NE(table.find("hub to body"), std::string::npos) << table;
    EXPECT_NE(table.find(hub_to_body), std::string::npos) << table;
  }
}

}  // namespace
}  // namespace pivotfix
