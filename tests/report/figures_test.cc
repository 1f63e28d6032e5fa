// SPDX-License-Identifier: Apache-2.0
// Figures over travel as page, terminal and CSV show them. The numbers are made up by hand; whether they are
// right for a corner is tested in tests/corner.
#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

#include "base/length_words.h"
#include "made_up_report.h"
#include "page/page_reader.h"
#include "report/report.h"

namespace pivotfix {
namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

FiguresAt state(double travel_mm, double toe_deg) {
  FiguresAt at;
  at.travel_mm = travel_mm;
  const auto set = [&](Figure figure, double value, double sigma) {
    at.figures.values[static_cast<std::size_t>(figure)] = value;
    at.sigmas[static_cast<std::size_t>(figure)] = sigma;
  };
  set(Figure::toe, rad_from_deg(toe_deg), 0.0);
  set(Figure::camber, rad_from_deg(-1.25 - 0.02 * travel_mm), 0.0);
  set(Figure::caster, rad_from_deg(4.5), rad_from_deg(0.12));
  set(Figure::inclination, rad_from_deg(11.75), rad_from_deg(0.05));
  set(Figure::scrub_radius, 12.34, 0.4);
  set(Figure::trail, 21.5, 0.6);
  set(Figure::contact_forward, 0.02 * travel_mm, 0.0);
  set(Figure::contact_outward, 0.11 * travel_mm, 0.0);
  set(Figure::contact_upward, travel_mm, 0.0);
  set(Figure::instant_centre_y, -2412.0, 35.0);
  set(Figure::instant_centre_z, 396.0, 7.0);
  set(Figure::swing_arm_length, 3157.0, 36.0);
  set(Figure::roll_centre_height, 93.5, 1.1);
  set(Figure::toe_per_travel, rad_from_deg(-0.01), rad_from_deg(0.0007));
  set(Figure::camber_per_travel, rad_from_deg(-0.02), 0.0);
  return at;
}

CornerFigures made_up_figures() {
  CornerFigures figures;
  for (const double travel_mm : {-20.0, -10.0, -5.0, 0.0, 10.0, 20.0})
    figures.straight_ahead.states.push_back(state(travel_mm, 0.1 - 0.01 * travel_mm));
  for (const double rack_mm : {25.0, -25.0}) {
    FigureCurve held;
    held.rack_mm = rack_mm;
    for (const double travel_mm : {-20.0, -10.0, -5.0, 0.0, 10.0, 20.0})
      held.states.push_back(state(travel_mm, 0.4 * rack_mm - 0.02 * travel_mm));
    figures.rack_held.push_back(held);
  }
  figures.roll.roll_steer = -0.116;
  figures.roll.states = {{rad_from_deg(-1.0), 13.0, -13.1, rad_from_deg(0.13), rad_from_deg(0.12)},
                         {},
                         {rad_from_deg(1.0), -13.1, 13.0, rad_from_deg(-0.12), rad_from_deg(-0.13)}};
  figures.steer.states = {
      {-20.0, rad_from_deg(-8.5), rad_from_deg(-9.0), rad_from_deg(0.5), rad_from_deg(0.75)},
      {0.0, 0.0, 0.0, 0.0, 0.0},
      {20.0, rad_from_deg(9.0), rad_from_deg(8.5), rad_from_deg(0.5), rad_from_deg(0.75)}};
  return figures;
}

const WheelSetting wheel{rad_from_deg(0.1), rad_from_deg(-1.25), 406.4, true, true};

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells{""};
  for (const char c : line)
    if (c == ',')
      cells.emplace_back();
    else
      cells.back() += c;
  return cells;
}

// Without line ends, blanks made single.
std::string in_one_line(const std::string& text) {
  std::string single;
  for (const char c : text) {
    const char shown = c == '\n' ? ' ' : c;
    if (shown != ' ' || (!single.empty() && single.back() != ' ')) single += shown;
  }
  return single;
}

// The line that begins with these words.
std::string line_with(const std::string& text, const std::string& begin) {
  for (const std::string& line : lines_of(text))
    if (const std::string single = in_one_line(line); single.starts_with(begin)) return single;
  return "no line begins with " + begin;
}

TEST(FiguresText, ShowsEveryFigureAtRideHeightWithItsUncertaintyAndSign) {
  const std::string text = figures_text(made_up_figures(), wheel, LengthUnit::millimetre);
  EXPECT_EQ(line_with(text, "toe "), "toe 0.10° front points inboard: toe-in");
  // 406.4 mm * sin(0.1 deg) = 0.7093 mm = 0.0279 in.
  EXPECT_EQ(line_with(text, "toe over"), "toe over 406.4 mm of rim 0.71 mm, 0.028 in");
  // 0.01 deg/mm * 25.4 mm = 0.254 deg, +- 0.0178.
  EXPECT_EQ(line_with(text, "toe per inch"), "toe per inch of bump -0.254 ± 0.018° it toes in going up");
  EXPECT_EQ(line_with(text, "camber per inch"), "camber per inch of bump -0.508°");
  EXPECT_EQ(line_with(text, "caster"), "caster 4.50 ± 0.12° the axis' top is rearward");
  EXPECT_EQ(line_with(text, "steering-axis"),
            "steering-axis inclination 11.75 ± 0.05° the axis' top is inboard");
  EXPECT_EQ(line_with(text, "scrub"), "scrub radius 12.3 ± 0.4 mm axis inboard of tyre on ground");
  EXPECT_EQ(line_with(text, "trail"), "trail 21.5 ± 0.6 mm axis ahead of tyre on ground");
  EXPECT_EQ(line_with(text, "tyre's instant centre, o"),
            "tyre's instant centre, out -2410 ± 40 mm outboard of the car's middle");
  EXPECT_EQ(line_with(text, "swing arm"), "swing arm 3160 ± 40 mm that centre inboard of the tyre");
  EXPECT_EQ(line_with(text, "roll centre"), "roll centre, height 93.5 ± 1.1 mm above the ground");
}

TEST(FiguresText, HasNoToeAndCamberAtRideHeightThatNobodyEntered) {
  const auto text_of = [](bool toe_is_known, bool camber_is_known) {
    return figures_text(made_up_figures(), {0.0, 0.0, 406.4, toe_is_known, camber_is_known},
                        LengthUnit::millimetre);
  };
  const std::string neither = text_of(false, false);
  EXPECT_EQ(line_with(neither, "toe "), "toe – front points inboard: toe-in");
  EXPECT_EQ(line_with(neither, "toe over"), "toe over 406.4 mm of rim –");
  EXPECT_EQ(line_with(neither, "toe per inch"), "toe per inch of bump -0.254 ± 0.018° it toes in going up");
  EXPECT_EQ(line_with(neither, "camber "), "camber – its top leans outboard");
  EXPECT_TRUE(has(in_one_line(neither),
                  "Toe and camber at ride height were not entered: their columns over travel count from 0."));
  const std::string toe_only = text_of(true, false);
  EXPECT_EQ(line_with(toe_only, "toe "), "toe 0.10° front points inboard: toe-in");
  EXPECT_TRUE(has(in_one_line(toe_only),
                  "- Camber at ride height was not entered: its columns over travel count from 0."));
  EXPECT_TRUE(has(in_one_line(text_of(false, true)), "- Toe at ride height was not entered: its columns"));
  EXPECT_FALSE(has(text_of(true, true), "not entered"));
}

TEST(FiguresText, HasARowForEachRoundTravel) {
  const std::vector<std::string> lines =
      lines_of(figures_text(made_up_figures(), wheel, LengthUnit::millimetre));
  const auto toe =
      std::find_if(lines.begin(), lines.end(), [](const std::string& line) { return has(line, "toe, mm"); });
  ASSERT_NE(toe, lines.end());
  // Toe 0.1 - 0.01 * 20 = -0.1 deg; over the rim -0.709 mm, -0.0279 in; camber -1.25 - 0.4.
  EXPECT_EQ(line_with(*(toe + 1), "+20"), "+20 -0.100 -0.71 -0.028 -0.254 -1.650 -0.508");
  EXPECT_EQ(line_with(*(toe + 5), "-20"), "-20 0.300 2.13 0.084 -0.254 -0.850 -0.508") << "five rows";
  const std::string text = figures_text(made_up_figures(), wheel, LengthUnit::millimetre);
  EXPECT_FALSE(has(text, "  -5 ")) << "no round travel";
  // Track change is twice 0.11 * 20.
  EXPECT_EQ(line_with(text.substr(text.find("Motion of")), "+20"), "+20 0.4 2.2 20.0 4.4");
}

TEST(FiguresText, ComparesToeWithTheRackHeldAsideFromRideHeight) {
  const std::string text = figures_text(made_up_figures(), wheel, LengthUnit::millimetre);
  EXPECT_TRUE(has(text, "straight ahead  rack 25.0 mm left  rack 25.0 mm right"));
  EXPECT_EQ(line_with(text, "toe at ride"), "toe at ride 0.100 10.000 -10.000");
  EXPECT_TRUE(has(text, "-0.200             -0.400              -0.400\n")) << text;
}

TEST(FiguresText, SaysWhoseCornersRollAndSteerAndStatesBothSigns) {
  CornerFigures figures = made_up_figures();
  const std::string text = in_one_line(figures_text(figures, wheel, LengthUnit::millimetre));
  EXPECT_TRUE(has(text, "only the left corner was given; the right one is taken as its mirror image"));
  EXPECT_TRUE(has(text, "-0.116° of steer per degree of roll, which understeers"));
  EXPECT_TRUE(has(text, "ISO 8855"));
  EXPECT_EQ(line_with(figures_text(figures, wheel, LengthUnit::millimetre), "-1.0 "),
            "-1.0 13.0 -13.1 0.130 0.120 0.125");
  EXPECT_EQ(line_with(figures_text(figures, wheel, LengthUnit::millimetre), "-20.0 "),
            "-20.0 -8.50 -9.00 0.50 0.75");
  figures.mirrored = false;
  EXPECT_TRUE(has(in_one_line(figures_text(figures, wheel, LengthUnit::millimetre)),
                  "both corners as they were given"));
}

TEST(FiguresText, LeavesOutWhatIsNotThere) {
  CornerFigures figures = made_up_figures();
  for (FiguresAt& at : figures.straight_ahead.states) {
    at.figures.instant_centre_far = true;
    at.sigmas = {};
  }
  for (SteerState& at : figures.steer.states) at.ideal_difference_rad.reset();
  figures.rack_held[1].states.clear();
  figures.rack_held[1].ended_early = "The corner cannot go beyond 12.0 mm of rack travel outboard.";
  const std::string text = figures_text(figures, wheel, LengthUnit::inch);
  EXPECT_EQ(line_with(text, "swing arm"), "swing arm far away that centre inboard of the tyre");
  EXPECT_EQ(line_with(text, "toe at ride"), "toe at ride 0.100 10.000 –");
  EXPECT_TRUE(has(in_one_line(text), "With the rack aside: The corner cannot go beyond 12.0 mm"));
  EXPECT_TRUE(has(text, "With the wheelbase"));
  EXPECT_FALSE(has(text, "nan"));
  EXPECT_FALSE(has(text, "±"));
}

TEST(FiguresText, FitsTheTerminal) {
  for (const LengthUnit unit : {LengthUnit::millimetre, LengthUnit::inch})
    for (const std::string& line : lines_of(figures_text(made_up_figures(), wheel, unit)))
      EXPECT_LE(std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; }), 80)
          << line;
}

TEST(FiguresCsv, IsARectangleOfAllStatesInMillimetresAndDegrees) {
  const std::vector<std::string> lines = lines_of(figures_csv(made_up_figures(), wheel));
  ASSERT_EQ(lines.size(), 1U + 3U * 6U);
  const std::vector<std::string> heads = cells_of(lines[0]);
  for (const std::string& line : lines) EXPECT_EQ(cells_of(line).size(), heads.size());
  const auto cell = [&](std::size_t line, const std::string& head) {
    const auto at = std::find(heads.begin(), heads.end(), head);
    EXPECT_NE(at, heads.end()) << head;
    return cells_of(lines[line])[static_cast<std::size_t>(at - heads.begin())];
  };
  EXPECT_EQ(cell(1, "travel_mm"), "-20.000000");
  EXPECT_EQ(cell(1, "toe_deg"), "0.300000");
  EXPECT_EQ(cell(1, "trail_mm"), "21.500000");
  EXPECT_EQ(cell(1, "sigma_trail_mm"), "0.600000");
  EXPECT_EQ(cell(6, "track_change_mm"), "4.400000");
  EXPECT_EQ(cell(7, "rack_to_left_mm"), "25.000000");
  EXPECT_EQ(cell(7, "toe_deg"), "10.400000");
  CornerFigures far = made_up_figures();
  far.straight_ahead.states[0].figures.instant_centre_far = true;
  EXPECT_TRUE(has(figures_csv(far, wheel), ",,,,,,,")) << "no number for what is infinitely far";
}

// Not by the track: the axes stand nearer to each other, or further apart.
TEST(SteerTable, SaysWhichDistanceAckermannsDifferenceGoesBy) {
  const char* words =
      "Steering at ride height, °; Ackermann's by the distance of the steering axes at the ground";
  CornerFigures figures = made_up_figures();
  EXPECT_TRUE(has(in_one_line(figures_text(figures, wheel, LengthUnit::millimetre)), words));
  for (SteerState& state : figures.steer.states) state.ideal_difference_rad.reset();
  EXPECT_FALSE(has(in_one_line(figures_text(figures, wheel, LengthUnit::millimetre)), words));
}

TEST(AxleCsv, HasRollAndSteering) {
  const std::vector<std::string> lines = lines_of(axle_csv(made_up_figures()));
  ASSERT_EQ(lines.size(), 1U + 3U + 3U);
  for (const std::string& line : lines) EXPECT_EQ(cells_of(line).size(), cells_of(lines[0]).size());
  EXPECT_EQ(lines[1], "-1.000000,0.000000,13.000000,-13.100000,0.130000,0.120000,,");
  EXPECT_EQ(lines[6], "0.000000,20.000000,0.000000,0.000000,9.000000,8.500000,0.500000,0.750000");
}

TEST(FiguresSection, IsInTheReportAndWellFormed) {
  ReportInput input = made_up_strut_report();
  EXPECT_FALSE(has(report_html(input), "all figures"));
  input.figures = made_up_figures();
  const Page page = read_page(report_html(input));
  EXPECT_EQ(page.trouble, "");
  for (const char* words :
       {"How the wheel moves, all figures", "scrub radius", "21.5 ± 0.6 mm", "−1.650", "roll centre",
        "Body roll", "Ackermann", "mirror image", "height of the roll centre, mm"})
    EXPECT_TRUE(has(page.text, words)) << words;
}

// The picture's words, from its <svg> to its end.
std::string picture_in(const std::string& html, const std::string& id) {
  const std::size_t at = html.find("id=\"" + id + "\"");
  return at == std::string::npos ? "" : html.substr(at, html.find("</svg>", at) - at);
}

TEST(FiguresSection, ShowsTravelAndLengthsInEachUnitWhateverTheJobsUnitIs) {
  ReportInput input = made_up_double_wishbone_report();
  ASSERT_EQ(input.unit, LengthUnit::inch);
  input.figures = made_up_figures();
  input.figures->roll.ended_early = "It locks at " + length_words(12.7, 1) + " of bump.";
  const std::string html = report_html(input);
  const std::string picture = picture_in(html, "figures");
  for (const std::string unit : {"mm", "in", "thou"}) {
    EXPECT_TRUE(has(picture, "<g class=\"unit-" + unit + "\">")) << unit;
    EXPECT_TRUE(has(picture, ">travel, " + unit + "<")) << unit;
    EXPECT_TRUE(has(picture, ">scrub radius, " + unit + "<")) << unit;
  }
  const std::string text = read_page(html).text;
  for (const char* words : {"It locks at 12.7 mm of bump.", "It locks at 0.500 in of bump."})
    EXPECT_TRUE(has(text, words)) << words;
  EXPECT_TRUE(has(in_one_line(figures_text(*input.figures, wheel, LengthUnit::inch)),
                  "In roll: It locks at 0.500 in of bump."));
}

TEST(ContourPicture, IsInEachUnitOnThePageAndInTheJobsUnitInAFile) {
  Sweep sweep;
  sweep.across = {"rack", -10.0, 10.0};
  sweep.up = {"ride-height", -50.0, 0.0};
  sweep.across_mm = {-10.0, 0.0, 10.0};
  sweep.up_mm = {-50.0, -25.0, 0.0};
  sweep.best_height_change_mm = Eigen::Vector3d(-6.0, -3.0, 0.0) * Eigen::RowVector3d::Ones();
  sweep.largest_change_rad = Eigen::Vector3d(0.006, 0.003, 0.0) * Eigen::RowVector3d::Ones();
  ReportInput input = made_up_strut_report();
  input.sweep = sweep;
  const std::string picture = picture_in(report_html(input), "contours");
  for (const char* head : {">rack, mm<", ">rack, in<", ">ride height, thou<"})
    EXPECT_TRUE(has(picture, head)) << head;
  const std::string file = contour_svg(sweep, LengthUnit::inch);
  EXPECT_TRUE(has(file, ">rack, in<"));
  EXPECT_FALSE(has(file, ">rack, mm<"));
  EXPECT_EQ(read_page(file).trouble, "");
}

TEST(FigureTravels, AreRoundInTheUnitWithWholeInchesAndBothEnds) {
  const auto contains = [](const std::vector<double>& travels, double wanted) {
    return std::any_of(travels.begin(), travels.end(),
                       [&](double travel) { return std::abs(travel - wanted) < 1e-9; });
  };
  for (const LengthUnit unit : {LengthUnit::millimetre, LengthUnit::inch, LengthUnit::thousandth}) {
    const std::vector<double> travels = figure_travels_mm({41.0, 33.0}, unit);
    EXPECT_TRUE(std::is_sorted(travels.begin(), travels.end()));
    for (std::size_t i = 1; i < travels.size(); ++i) EXPECT_GT(travels[i] - travels[i - 1], 1e-3);
    for (const double wanted : {-33.0, -25.4, 0.0, 25.4, 41.0}) EXPECT_TRUE(contains(travels, wanted));
    EXPECT_TRUE(contains(travels, unit == LengthUnit::millimetre ? 12.5 : 12.7));
  }
}

}  // namespace
}  // namespace pivotfix
