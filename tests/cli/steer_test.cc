// SPDX-License-Identifier: Apache-2.0
// What `steer` can be asked beyond the plain answer.
#include <gtest/gtest.h>

#include <algorithm>

#include "base/length_words.h"
#include "run_program.h"

namespace pivotfix {
namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// The terminal's line breaks as blanks.
std::string in_one_line(std::string text) {
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

class SteerOnAFile : public testing::Test {
 protected:
  SteerOnAFile() { workshop_.copy_data("hand-typed-strut.json", "a.json"); }
  Outcome steer(std::vector<std::string> more) const {
    more.insert(more.begin(), {"steer", "a.json"});
    return workshop_.run(more);
  }
  Workshop workshop_{};
};

TEST_F(SteerOnAFile, AnswersForAHandTypedHardpointFile) {
  const Outcome outcome = steer({});
  EXPECT_EQ(outcome.exit_code, 0);
  EXPECT_EQ(outcome.err, "");
  EXPECT_TRUE(outcome.out.starts_with("Invented strut corner, typed by hand: left front corner, strut"))
      << outcome.out;
  EXPECT_TRUE(has(outcome.out, " between steering arm and rod end")) << outcome.out;
  EXPECT_EQ(workshop_.files(), std::vector<std::string>{"a.json"});
}

TEST_F(SteerOnAFile, TakesSpacersAndTravelFromOptions) {
  const std::string as_filed = steer({}).out;
  const Outcome same = workshop_.run({"steer", "--spacer", "0.120 in", "--spacer", "0.200 in", "--spacer",
                                      "0.060 in:2", "--between", "0.120 in", "--bump", "4 cm", "--droop",
                                      "40", "--mounted", "below-arm", "--units", "mm", "a.json"});
  EXPECT_EQ(same.exit_code, 0) << same.err;
  EXPECT_EQ(same.out, as_filed);
  EXPECT_NE(steer({"--bump", "20 mm"}).out, as_filed);
  EXPECT_NE(steer({"--units", "in"}).out, as_filed);
  EXPECT_NE(steer({"--between", "none"}).out, as_filed);
}

TEST_F(SteerOnAFile, WritesAReportWhenAskedAndReplacesItOnlyWhenForced) {
  const Outcome outcome = steer({"--report", "a.html"});
  EXPECT_EQ(outcome.exit_code, 0);
  EXPECT_TRUE(outcome.out.ends_with("\nThe whole report: a.html\n"));
  const std::string report = workshop_.read("a.html");
  EXPECT_TRUE(has(report, "<html"));
  EXPECT_EQ(steer({"--report", "a.html"}).exit_code, 2);
  EXPECT_EQ(steer({"--report", "a.html", "--force"}).exit_code, 0);
  EXPECT_EQ(workshop_.read("a.html"), report);
}

TEST_F(SteerOnAFile, AnswersForChangedCarsOneByOne) {
  const Outcome outcome =
      steer({"--what-if", "ride-height=-30mm", "--what-if", "lower-ball-joint=15 mm, rack=-2"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "\nWhat if\n"));
  EXPECT_TRUE(has(outcome.out, "ride height -30.0 mm: mismatch "));
  EXPECT_TRUE(has(outcome.out, "lower ball joint +15.0 mm, rack -2.0 mm: "));
  EXPECT_TRUE(has(outcome.out, "case 1  case 2"));
  EXPECT_FALSE(has(steer({}).out, "What if"));
}

// What is typed wrong in one point makes a corner like any other: only toe on the car tells.
TEST_F(SteerOnAFile, SaysHowToCheckWhatNothingElseChecks) {
  const std::string words = "nothing checks them. Before you change anything, read toe at ride height";
  const auto plain = [&](const std::vector<std::string>& more) {
    std::string text = in_one_line(with_plain_spaces(steer(more).out));
    while (has(text, "  ")) text.erase(text.find("  "), 1);
    return text;
  };
  const std::string typed = plain({});
  EXPECT_TRUE(has(typed, words)) << typed;
  EXPECT_FALSE(has(plain({"--reading", "0:0.1 deg:0.02 deg", "--reading", "1 in:0.1 deg:0.02 deg"}), words));
  std::string text = workshop_.read("a.json");
  const std::string record =
      "\"record\": {\"files\": [{\"name\": \"a.jpg\", \"checksum\": \"0123456789abcdef\"}]}, \"side\"";
  workshop_.write("a.json", text.replace(text.find("\"side\""), 6, record));
  EXPECT_FALSE(has(plain({}), words)) << "from photos";
}

TEST_F(SteerOnAFile, DrawsAContourPlotOfTwoSweeps) {
  const Outcome outcome = steer({"--sweep", "ride-height=-40..0mm", "--sweep", "rack=-5..5", "--contour",
                                 "c.svg", "--report", "a.html"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  const std::string svg = workshop_.read("c.svg");
  EXPECT_TRUE(svg.starts_with("<?xml"));
  EXPECT_TRUE(has(svg, "class=\"contour\""));
  EXPECT_TRUE(has(svg, "ride height, mm"));
  EXPECT_TRUE(has(workshop_.read("a.html"), "Two changes together"));
  EXPECT_EQ(
      steer({"--sweep", "ride-height=-40..0mm", "--sweep", "rack=-5..5", "--contour", "c.svg"}).exit_code, 2)
      << "the file is there";
}

TEST_F(SteerOnAFile, TakesAWayOfDrivingAnAimAndWeights) {
  const Outcome outcome = steer({"--driving", "standing-start", "--aim", "smallest-peak"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "Toe change over 25 mm bump and 75 mm droop"));
  EXPECT_TRUE(has(steer({"--driving", "track", "--droop", "60"}).out, "over 50 mm bump and 60 mm droop"));
  EXPECT_TRUE(has(steer({"--bump", "50", "--droop", "0"}).out, "over 50 mm bump and 0 mm droop"));
}

TEST_F(SteerOnAFile, SaysWhatFlatMeansUnlessItIsTheUsual) {
  EXPECT_TRUE(has(in_one_line(steer({"--weight", "-30 mm:3", "--weight", "0:1"}).out),
                  "Flattest here means least toe change over the whole travel, which counts 3 at 30 mm droop "
                  "and 1 at ride height, evenly in between and unchanged beyond."));
  EXPECT_TRUE(has(in_one_line(steer({"--weight", "-30 mm:3"}).out), "so it changes nothing: give two"));
  EXPECT_TRUE(has(in_one_line(steer({"--aim", "zero-slope", "--weight", "0:2"}).out),
                  "Flattest here means no slope at ride height: weights do not count in that."));
  EXPECT_TRUE(has(in_one_line(steer({"--aim", "smallest-peak"}).out),
                  "Flattest here means that the largest toe change is as small as can be."));
  EXPECT_FALSE(has(steer({}).out, "Flattest here means"));
}

TEST_F(SteerOnAFile, SharesOutOnlyWhatIsOnTheStudWhenItIsSaid) {
  EXPECT_TRUE(has(steer({"--other-side", "none"}).out, "Left over: "));
  EXPECT_TRUE(has(steer({"--stack-total", "0.2 in"}).out, "Left over: "));
  EXPECT_FALSE(has(steer({}).out, "Left over: "));
}

TEST_F(SteerOnAFile, WorksReadingsIn) {
  const Outcome outcome = steer({"--reading", "0:0.10 deg:0.03 deg", "--reading", "1 in:0.60 deg:0.03 deg"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "Toe change as read, degrees"));
  EXPECT_TRUE(has(outcome.out, "The toe readings fit and are worked in"));
  const Outcome wrong = steer({"--reading", "0:0.10 deg:0.01 deg", "--reading", "1 in:-0.90 deg:0.01 deg"});
  EXPECT_TRUE(has(wrong.out, "\nDo not act on this yet: toe as read contradicts the hardpoints.\n"));
}

TEST_F(SteerOnAFile, SaysOfAnotherKindOfFileThatItIsNone) {
  workshop_.write("photo.jpg", "\xFF\xD8\xFF not a set");
  const Outcome outcome = workshop_.run({"steer", "photo.jpg"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(
      outcome.err,
      "pivotfix: photo.jpg: This is no hardpoint file. Name the hardpoints.json that \"pivotfix run\" or "
      "\"pivotfix locate\" wrote.\n");
}

TEST_F(SteerOnAFile, PrintsAllFiguresWhenAskedForThemOrForOneOfThem) {
  EXPECT_FALSE(has(steer({}).out, "How the wheel moves"));
  const Outcome outcome = steer({"--figures"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  for (const char* words : {"At ride height", "scrub radius", "Toe and camber over travel", "swing arm",
                            "Body roll", "Roll steer at ride height", "mirror image", "With the wheelbase"})
    EXPECT_TRUE(has(outcome.out, words)) << words;
  const std::string rack = steer({"--rack", "20", "--rack", "-0.5 in"}).out;
  EXPECT_TRUE(has(rack, "rack 20.0 mm left  rack 12.7 mm right")) << rack;
  EXPECT_FALSE(has(steer({"--wheelbase", "2400"}).out, "With the wheelbase"));
  EXPECT_TRUE(has(steer({"--roll", "1.5"}).out, "\n  1.5 ")) << "the last row";
  EXPECT_TRUE(has(steer({"--rack-travel", "2 in", "--units", "in"}).out, "\n  2.000 "));
}

TEST_F(SteerOnAFile, SpeaksInInchesWhenAskedTo) {
  const std::string out = steer({"--units", "in"}).out;
  const std::string answer = out.substr(0, out.find("How sure"));
  EXPECT_FALSE(has(answer, " mm")) << answer;
  EXPECT_TRUE(has(answer, " in too ")) << answer;
}

TEST_F(SteerOnAFile, TakesTheOtherCornerForRollAndSteering) {
  std::string right = workshop_.read("a.json");
  for (std::size_t at = right.find("\"y\": "); at != std::string::npos; at = right.find("\"y\": ", at + 6))
    right.insert(at + 5, "-");
  workshop_.write("left-called-right.json", right);
  right.replace(right.find("\"left\""), 6, "\"right\"");
  workshop_.write("b.json", right);
  const std::string measured = steer({"--other-corner", "b.json"}).out;
  EXPECT_TRUE(has(measured, "both corners as they were given")) << measured;
  const Outcome twice = steer({"--other-corner", "a.json"});
  EXPECT_EQ(twice.exit_code, 2);
  EXPECT_EQ(twice.err,
            "pivotfix: --other-corner: \"a.json\" is a left corner like the first one. Give one left and one "
            "right corner.\n");
  const Outcome wrong = steer({"--other-corner", "left-called-right.json"});
  EXPECT_EQ(wrong.exit_code, 2);
}

TEST_F(SteerOnAFile, WritesFiguresAsCsvWithoutPrintingThem) {
  const Outcome outcome = steer({"--figures-csv", "f.csv", "--axle-csv", "x.csv"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_FALSE(has(outcome.out, "How the wheel moves"));
  EXPECT_TRUE(workshop_.read("f.csv").starts_with("rack_to_left_mm,travel_mm,toe_deg,sigma_toe_deg,"));
  EXPECT_TRUE(workshop_.read("x.csv").starts_with("roll_deg,rack_to_left_mm,"));
  EXPECT_EQ(steer({"--figures-csv", "f.csv"}).exit_code, 2) << "the file is there";
}

TEST_F(SteerOnAFile, NeverShowsTheNamesThatFilesUse) {
  const std::string out = steer({"--what-if", "link-inner-joint.z=2", "--figures"}).out;
  EXPECT_EQ(out.find('_'), std::string::npos) << out;
}

TEST_F(SteerOnAFile, NamesTheOptionWithAWrongValue) {
  const auto complaint = [&](std::vector<std::string> more) {
    const Outcome outcome = steer(std::move(more));
    EXPECT_EQ(outcome.exit_code, 2);
    return outcome.err;
  };
  EXPECT_EQ(
      complaint({"--what-if", "wings=3"}),
      "pivotfix: --what-if: \"wings\" is nothing that can be changed on this corner. Known are ride-height, "
      "lower-ball-joint, lower-arm-pivots, rack, link-length, rod-end, and every hardpoint "
      "with .x, .y or .z, like link-inner-joint.z.\n");
  EXPECT_EQ(complaint({"--bump", "far"}),
            "pivotfix: --bump: \"far\" is not a length: it does not start with a number. Write it like "
            "\"25.4 mm\" or \"0.200 in\".\n");
  EXPECT_EQ(complaint({"--droop", "-3"}), "pivotfix: --droop: the length must not be negative.\n");
  EXPECT_EQ(complaint({"--bump", "1.5 m"}), "pivotfix: --bump: \"1.5 m\" is more than any wheel travels.\n");
  EXPECT_EQ(complaint({"--spacer", "0.060 in:0"}),
            "pivotfix: --spacer: \"0.060 in:0\" has no count from 1 to 50 after the colon. Write it like "
            "--spacer \"0.060 in:2\".\n");
  EXPECT_EQ(complaint({"--mounted", "on top"}),
            "pivotfix: --mounted: 'on top' is no place of a rod end. Known are 'below-arm', 'above-arm'.\n");
  EXPECT_TRUE(has(complaint({"--sweep", "rack=-5..5"}), "--sweep must come twice"));
  EXPECT_TRUE(has(complaint({"--contour", "c.svg"}), "--contour needs two sweeps"));
  EXPECT_TRUE(has(complaint({"--driving", "rally"}), "--driving: 'rally' is no known way of driving."));
  EXPECT_TRUE(has(complaint({"--aim", "flat"}), "--aim: 'flat' is no aim."));
  EXPECT_TRUE(has(complaint({"--weight", "3"}), "--weight: \"3\" is no travel with a weight"));
  EXPECT_EQ(complaint({"--bump", "0", "--droop", "0.5"}),
            "pivotfix: --bump and --droop: together they must be at least 1 mm.\n");
  EXPECT_TRUE(has(complaint({"--reading", "1 in:0.2"}), "--reading: \"1 in:0.2\" is not travel, toe"));
  EXPECT_TRUE(has(complaint({"--reading", "0:x:1"}), "--reading: \"x\""));
  EXPECT_TRUE(has(complaint({"--rack", "2 m"}), "--rack: \"2 m\" is more than any rack travels."));
  EXPECT_TRUE(has(complaint({"--roll", "20 deg"}), "--roll: the angle must be above 0"));
  EXPECT_TRUE(has(complaint({"--rack-travel", "-3"}), "--rack-travel: the length must be more than zero."));
  EXPECT_TRUE(has(complaint({"--wheelbase", "0"}), "--wheelbase: the length must be more than zero."));
}

}  // namespace
}  // namespace pivotfix
