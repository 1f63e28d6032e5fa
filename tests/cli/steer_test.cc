// SPDX-License-Identifier: Apache-2.0
// What `steer` can be asked beyond the plain answer.
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <filesystem>

#include "base/checksum.h"
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

TEST_F(SteerOnAFile, ReadsStudAndRodEndFromTheJob) {
  ASSERT_EQ(workshop_.run({"new", "front.toml"}).exit_code, 0);
  workshop_.copy_data("hand-typed-strut.json", "hardpoints.json");
  workshop_.fill_in("front.toml");
  const std::string job = workshop_.read("front.toml");
  workshop_.write("front.toml", job +
                                    "[rod_end.sizes]\nball_width = 16\nball_diameter = 22.225\n"
                                    "housing_width = 15\n");
  const Outcome outcome = workshop_.run({"steer", "front.toml"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "Tilt of the rod end over the travel"));
  EXPECT_TRUE(has(outcome.out, "The rod end binds: at "));
}

// Nothing stands in for what was forgotten. What only the photos needed may stay blank.
TEST_F(SteerOnAFile, WantsFromTheJobWhatIsOnTheStudAndNoStandOffs) {
  ASSERT_EQ(workshop_.run({"new", "front.toml"}).exit_code, 0);
  workshop_.copy_data("hand-typed-strut.json", "hardpoints.json");
  const Outcome blank = workshop_.run({"steer", "front.toml"});
  EXPECT_EQ(blank.exit_code, 3);
  EXPECT_EQ(blank.out, "");
  EXPECT_EQ(
      blank.err,
      "pivotfix: front.toml:88: Still to be measured: between_now (line 88); other_side_now (line 89). Write "
      "the number in place of each \"?\", with its unit: \"25.4 mm\". The comment beside it says from where "
      "to "
      "where.\n");
  std::string job = workshop_.read("front.toml");
  for (const std::string key : {"between_now", "other_side_now"}) {
    const std::size_t at = job.find(key + " = [\"?\"]");
    ASSERT_NE(at, std::string::npos) << key;
    job.replace(at, key.size() + 8, key + " = []");
  }
  workshop_.write("front.toml", job);
  const Outcome filled = workshop_.run({"steer", "front.toml"});
  EXPECT_EQ(filled.exit_code, 0) << filled.err;
  EXPECT_TRUE(has(job, "stand_off = \"?\""));
  workshop_.write("front.toml", job + "\n[rod_end.stud]\nlength = \"?\"\n");
  EXPECT_EQ(workshop_.run({"steer", "front.toml"}).exit_code, 3);
}

// A job with pivots beside it that say which state of it they were found from.
class SteerOnAJob : public testing::Test {
 protected:
  void SetUp() override {
    ASSERT_EQ(workshop_.run({"new", "front.toml"}).exit_code, 0);
    workshop_.fill_in("front.toml");
    workshop_.copy_data("hand-typed-strut.json", "hardpoints.json");
    std::string text = workshop_.read("hardpoints.json");
    const std::string record =
        "\"record\": {\"method\": \"photos\", \"files\": [{\"name\": \"front.toml\", " +
        ("\"checksum\": \"" + xxh64(workshop_.read("front.toml"))) +
        "\"}, {\"name\": \"a.jpg\", \"checksum\": \"0123456789abcdef\"}]}, \"side\"";
    workshop_.write("hardpoints.json", text.replace(text.find("\"side\""), 6, record));
  }
  void is_older_by_hours(const std::string& name, int hours) const {
    const std::filesystem::path file = workshop_.folder() / name;
    std::filesystem::last_write_time(
        file, std::filesystem::file_time_type::clock::now() - std::chrono::hours(hours));
  }
  Outcome steer() const {
    const Outcome outcome = workshop_.run({"steer", "front.toml"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    return outcome;
  }
  Workshop workshop_{};
};

TEST_F(SteerOnAJob, SaysThatTheJobWasChangedSinceThePivotsWereFound) {
  const Outcome as_found = steer();
  EXPECT_EQ(as_found.err, "");
  workshop_.write("front.toml", workshop_.read("front.toml") + "# one more line\n");
  const Outcome changed = steer();
  EXPECT_EQ(changed.err,
            "pivotfix: note: The job file was changed since the pivots were found: spacers, wheel and travel "
            "count as now written; tags, stand-offs, axes and photos only after this: pivotfix locate "
            "front.toml\n");
  EXPECT_EQ(changed.out, as_found.out);
}

TEST_F(SteerOnAJob, KnowsAJobByItsEndingInCapitalsToo) {
  const Outcome small = steer();
  std::filesystem::rename(workshop_.folder() / "front.toml", workshop_.folder() / "FRONT.TOML");
  const Outcome capitals = workshop_.run({"steer", "FRONT.TOML"});
  EXPECT_EQ(capitals.exit_code, 0) << capitals.err;
  EXPECT_EQ(capitals.out, small.out);
}

TEST_F(SteerOnAJob, SaysThatTheLastRunWasRefused) {
  const std::string diagnosis = "Diagnosis of a job that was refused\n\nWhy: no tag.\n";
  workshop_.write("diagnosis.txt", diagnosis);
  is_older_by_hours("diagnosis.txt", 1);
  is_older_by_hours("hardpoints.json", 2);
  EXPECT_EQ(steer().err,
            "pivotfix: note: The last run or locate was refused (diagnosis.txt): these pivots are older.\n");
  is_older_by_hours("diagnosis.txt", 3);
  EXPECT_EQ(steer().err, "");
  workshop_.write("diagnosis.txt", "What the doctor said.\n");
  EXPECT_EQ(steer().err, "") << "another's file";
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
