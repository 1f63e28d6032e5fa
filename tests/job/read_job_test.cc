// SPDX-License-Identifier: Apache-2.0
// The job file as values.
#include <gtest/gtest.h>

#include <set>

#include "base/units.h"
#include "good_job.h"

namespace pivotfix {
namespace {

TEST(ReadJob, GivesEveryValueInMillimetresAndRadians) {
  const Job job = job_from(good_job);
  EXPECT_EQ(job.title, "front left");
  EXPECT_EQ(job.question.side, Side::left);
  EXPECT_EQ(job.question.layout, Layout::strut);
  EXPECT_EQ(job.tag_side_mm, 40.0);
  EXPECT_EQ(job.other_sides_mm, (std::map<int, double>{{60, 60.0}, {61, 60.0}}));
  ASSERT_EQ(job.scale_bars.size(), 1U);
  EXPECT_EQ(job.scale_bars[0].from_tag, 60);
  EXPECT_EQ(job.scale_bars[0].to_tag, 61);
  EXPECT_EQ(job.scale_bars[0].length_mm, 249.6);
  EXPECT_EQ(job.scale_bars[0].sigma_mm, 0.05);
  EXPECT_EQ(job.question.axes.floor_tags, (std::vector<int>{0, 1, 2, 3}));
  EXPECT_EQ(job.question.axes.floor_height_mm, 0.5);
  EXPECT_EQ(job.question.axes.forward_from, 6);
  EXPECT_EQ(job.question.axes.forward_to, 7);
  EXPECT_NEAR(job.question.axes.forward_sigma_rad, 0.0017453292519943296, 1e-15);  // 0.1 degrees
  EXPECT_NEAR(job.question.axes.half_track_mm, 749.3, 1e-9);
  EXPECT_NEAR(job.wheel.toe_rad, 0.0017453292519943296, 1e-15);
  EXPECT_NEAR(job.wheel.camber_rad, -0.026179938779914945, 1e-15);
  EXPECT_NEAR(job.wheel.rim_diameter_mm, 406.4, 1e-9);
  EXPECT_EQ(job.rod_end.mount, RodEndMount::above_arm);
  EXPECT_NEAR((job.rod_end.stud_axis_vehicle - Eigen::Vector3d(0.0, 0.6, 0.8)).norm(), 0.0, 1e-15);
  EXPECT_EQ(job.driving.travel.bump_mm, 30.0);
  EXPECT_NEAR(job.driving.travel.droop_mm, 25.4, 1e-12);
}

TEST(ReadJob, GivesHardpointsInTheOrderOfReportsWithTheirWays) {
  const Job job = job_from(good_job);
  ASSERT_EQ(job.question.hardpoints.size(), hardpoint_names(Layout::strut).size());
  for (std::size_t i = 0; i < job.question.hardpoints.size(); ++i)
    EXPECT_EQ(job.question.hardpoints[i].name, hardpoint_names(Layout::strut)[i]);
  const auto pair = std::get<TagPair>(job.question.hardpoints[0].way);
  EXPECT_EQ(pair.first_tag, 10);
  EXPECT_EQ(pair.second_tag, 11);
  EXPECT_EQ(pair.fraction, 0.25);
  const auto behind = std::get<TagOffset>(job.question.hardpoints[2].way);
  EXPECT_EQ(behind.tag, 14);
  EXPECT_EQ(behind.offset_tag_mm, Eigen::Vector3d(0, 0, -26));
  EXPECT_EQ(behind.sigma_mm, 0.3);
  EXPECT_EQ(behind.centring_sigma_mm, 0.5);  // docs/job-file.md
  const auto by_hand = std::get<ByHand>(job.question.hardpoints[3].way);
  EXPECT_EQ(by_hand.position_vehicle_mm, Eigen::Vector3d(10, 560, 690));
  EXPECT_EQ(by_hand.sigma_vehicle_mm, Eigen::Vector3d::Constant(2.0));
  const auto beside = std::get<TagOffset>(job.question.hardpoints[5].way);
  EXPECT_EQ(beside.offset_tag_mm, Eigen::Vector3d(1, -2, -30));
  EXPECT_EQ(beside.sigma_mm, 0.2);  // docs/job-file.md
}

TEST(ReadJob, KnowsHowLevelTheBodyStands) {
  EXPECT_FALSE(job_from(good_job).question.axes.level);
  const Job job = job_from(with("floor_height = 0.5", "floor_height = 0.5\nnose_up = \"5.7 deg\""));
  ASSERT_TRUE(job.question.axes.level);
  EXPECT_NEAR(job.question.axes.level->nose_up_rad, 5.7 * rad_per_deg, 1e-12);
  EXPECT_EQ(job.question.axes.level->left_up_rad, 0.0);
  EXPECT_NEAR(job.question.axes.level->sigma_rad, 0.1 * rad_per_deg, 1e-12);
}

TEST(ReadJob, TellsToeOfZeroFromToeThatNobodyRead) {
  EXPECT_TRUE(job_from(good_job).wheel.toe_is_known);
  EXPECT_TRUE(job_from(with("toe = \"6 min\"", "toe = 0")).wheel.toe_is_known);
  const Job unread = job_from(with("toe = \"6 min\"\n", ""));
  EXPECT_TRUE(!unread.wheel.toe_is_known && unread.wheel.camber_is_known);
}

TEST(ReadJob, TakesBareNumbersInTheJobsUnit) {
  std::string text = with("units = \"mm\"", "units = \"in\"");
  text.replace(text.find("side = 40"), 9, "side = 1.5");
  text.replace(text.find("bump = 30"), 9, "bump = 2.5");
  const Job job = job_from(text);
  EXPECT_EQ(job.unit, LengthUnit::inch);
  EXPECT_NEAR(job.tag_side_mm, 38.1, 1e-12);
  EXPECT_NEAR(job.driving.travel.bump_mm, 63.5, 1e-12);
}

TEST(ReadJob, CountsTheSpacersOnTheCarAsStock) {
  const Job job = job_from(good_job);
  ASSERT_EQ(job.rod_end.stock.size(), 3U);
  EXPECT_EQ(job.rod_end.stock[0].label, "0.200 in");
  EXPECT_EQ(job.rod_end.stock[0].count, 2);
  EXPECT_EQ(job.rod_end.stock[1].label, "1.5 mm");
  EXPECT_EQ(job.rod_end.stock[1].count, 1);
  EXPECT_EQ(job.rod_end.stock[2].label, "0.120 in");
  EXPECT_NEAR(job.rod_end.stock[2].thickness_mm, 3.048, 1e-12);
  EXPECT_EQ(job.rod_end.stock[2].count, 1);
}

TEST(ReadJob, GivesASpacerTheUnitThatItWasMeasuredIn) {
  std::string text = with("units = \"mm\"", "units = \"in\"");
  text = replaced_once(text, "[tags]\nside = 40", "[tags]\nside = 1.5");
  text = replaced_once(text, "between_now = [\"0.120 in\"]", "between_now = [\"0.2\"]");
  text = replaced_once(text, "thickness = 1.5", "thickness = 0.06");
  text = replaced_once(text, "bump = 30", "bump = 2");
  const Job job = job_from(text);
  ASSERT_EQ(job.rod_end.between_now.size(), 1U);
  EXPECT_EQ(job.rod_end.between_now[0].label, "0.2 in");
  ASSERT_EQ(job.rod_end.stock.size(), 2U) << "0.2 and 0.200 in are one kind";
  EXPECT_EQ(job.rod_end.stock[1].label, "0.06 in");
}

TEST(ReadJob, DoesNotCountASpacerTwiceThatIsBothOnTheCarAndInStock) {
  RodEnd rod_end;
  rod_end.between_now = {{5.08, 1, "0.200 in"}, {5.08, 1, "0.200 in"}, {1.5, 1, "1.5 mm"}};
  rod_end.stock = {{5.08, 1, "0.200 in"}, {1.5, 4, "1.5 mm"}};
  const RodEnd completed = with_spacers_on_car(rod_end);
  ASSERT_EQ(completed.stock.size(), 2U);
  EXPECT_EQ(completed.stock[0].count, 2);
  EXPECT_EQ(completed.stock[1].count, 4);
}

TEST(ReadJob, RemembersWhereEveryTagIsNeeded) {
  const Job job = job_from(good_job);
  std::set<int> tags;
  for (const TagUse& use : job.tag_uses) tags.insert(use.tag);
  EXPECT_EQ(tags, (std::set<int>{0, 1, 2, 3, 6, 7, 10, 11, 12, 13, 14, 15, 16, 17, 19, 20, 60, 61}));
  for (const TagUse& use : job.tag_uses)
    if (use.tag == 14) {
      EXPECT_EQ(use.role, TagRole::other);
      EXPECT_EQ(use.words, "lower_ball_joint");
      EXPECT_EQ(use.place.line, 32);
      EXPECT_EQ(use.place.column, 7);
    }
}

TEST(ReadJob, RefusesAFileThatIsNotThere) {
  try {
    read_job("/nowhere/job.toml");
    FAIL();
  } catch (const Problem& problem) {
    EXPECT_STREQ(
        problem.what(),
        "/nowhere/job.toml: There is no job file of this name that can be read. Check the path, or make a "
        "job file: pivotfix new job.toml");
  }
}

TEST(ReadJob, CallsAnotherKindOfFileWhatItIs) {
  EXPECT_EQ(
      complaint_about("\n{\n  \"format\": \"pivotfix-hardpoints\",\n  \"version\": 1\n}\n"),
      "job.toml: This is a hardpoint file: the pivots are found already. Give it to \"pivotfix steer\", or "
      "to \"compare\", \"pool\" or \"convert\"; this command wants a job file, which ends in .toml.");
  for (const std::string& other :
       {std::string("{\"a\": 1}"), std::string("<!DOCTYPE html>"), std::string("%PDF-1.4 ..."),
        std::string("\xFF\xD8\xFF\xE0\0\x10JFIF", 10)})
    EXPECT_EQ(complaint_about(other),
              "job.toml: This is no job file. Name the one that \"pivotfix new\" wrote; it ends in .toml.");
}

TEST(ReadJob, TakesNamesInCapitals) {
  std::string text = good_job;
  EXPECT_EQ(job_from_text(text.replace(text.find("\"left\""), 6, "\"Left\""), "job.toml").question.side,
            Side::left);
}

TEST(ReadJob, NamesWhatAnEmptyFileLacksFirst) {
  EXPECT_EQ(complaint_about(""),
            "job.toml:1:1: \"side\" is missing in the job file. Add a line like: side = \"left\"");
}

TEST(ReadJob, KnowsWhereTheMeasurementComesFromAndWhichTagsStay) {
  const Job job = job_from(std::string(good_job) +
                           "\n[record]\ncar = \"club car 3\"\nwho = \"A. Person\"\ndate = \"2026-05-17\"\n"
                           "body_tags = [70, 71, 72]\n");
  EXPECT_EQ(job.record.car, "club car 3");
  EXPECT_EQ(job.record.who, "A. Person");
  EXPECT_EQ(job.record.date, "2026-05-17");
  EXPECT_EQ(job.question.body_tags, (std::vector<int>{70, 71, 72}));
  EXPECT_EQ(job.tag_uses.back().tag, 72) << "must be in a photo";
}

TEST(ReadJob, RefusesSlipsInTheRecord) {
  const auto complaint = [](const std::string& line) {
    const std::string whole = complaint_about(std::string(good_job) + "\n[record]\n" + line + "\n");
    return whole.substr(std::min(whole.size(), whole.find(": ") + 2));
  };
  const std::string no_day = "\"date\" is no day. Write it like \"2026-05-17\".";
  for (const char* day :
       {"17.5.2026", "2026-13-01", "2026-00-10", "2026-05-32", "20x6-05-17", "2026-05-1", ""})
    EXPECT_EQ(complaint("date = \"" + std::string(day) + "\""), no_day) << day;
  EXPECT_EQ(complaint("body_tags = [70, 70]"), "Tag 70 is named twice in \"body_tags\". Name it once.");
  EXPECT_EQ(
      complaint("body_tags = [2]"),
      "Tag 2 lies on the floor, so it does not stay with the car's body. Name a tag that stays stuck on "
      "the body.");
  EXPECT_EQ(
      complaint("body_tags = [70]\n[moving]\nknuckle = [70, 71, 72]"),
      "Tag 70 sits on the knuckle, which moves, so it cannot mark a body tag. Name another tag here, or "
      "take it out of that part.");
}

TEST(ReadJob, KnowsHeightsMovingPartsAndWaysWithoutATagOnThePivot) {
  std::string text = with("[[scale]]",
                          "[[photos]]\nheight = \"up 20\"\nsteered = true\nfiles = [\"b/*.jpg\"]\n[moving]\n"
                          "knuckle = [40, 41, 42]\nlower_arm = [44, 45, 46]\n[[scale]]");
  const std::size_t at = text.find("[hardpoint.lower_ball_joint]");
  ASSERT_NE(at, std::string::npos);
  const std::size_t end = text.find("[hardpoint.", at + 5);
  text.replace(at, end - at, "[hardpoint.lower_ball_joint]\nmotion = true\n");
  const Job job = job_from(text);
  EXPECT_EQ(job.question.heights, (std::vector<std::string>{"ride", "up 20"}));
  EXPECT_EQ(job.question.steered_heights, std::vector<std::string>{"up 20"});
  EXPECT_EQ(job.question.reference_height, "ride");
  ASSERT_EQ(job.question.bodies.size(), 2u);
  EXPECT_EQ(job.question.bodies[0].tags, (std::vector<int>{40, 41, 42}));
  bool by_motion = false;
  for (const HardpointRecipe& recipe : job.question.hardpoints)
    by_motion =
        by_motion || (recipe.name == "lower_ball_joint" && std::holds_alternative<ByMotion>(recipe.way));
  EXPECT_TRUE(by_motion);
}

TEST(ReadJob, WantsPhotosInTheirList) {
  const std::string without = with("[[photos]]\nheight = \"ride\"\nfiles = [\"photos/*.jpg\"]\n", "");
  EXPECT_EQ(
      complaint_about(replaced_once(without, "units = \"mm\"", "units = \"mm\"\nphotos = []")),
      "job.toml:5:10: \"photos\" names no photo. Write [[photos]] and files = [\"photos/*.jpg\"] below it.");
}

// Photos of one height count as one place of the wheel, so a set that was steered must not get into another.
TEST(ReadJob, WantsSteeredPhotosAtAHeightOfTheirOwn) {
  const auto complaint = [](const std::string& tables) {
    return complaint_about(with("[[photos]]\nheight = \"ride\"\nfiles = [\"photos/*.jpg\"]\n", tables));
  };
  const std::string remedy =
      " Give the steered photos a height of their own, like height = \"steered left\".";
  const std::string both = "\"ride\" has photos with the wheels steered and photos without." + remedy;
  EXPECT_EQ(complaint("[[photos]]\nfiles = [\"ride\"]\n[[photos]]\nsteered = true\nfiles = [\"left\"]\n"),
            "job.toml:13:11: " + both);
  const std::string straight = "[[photos]]\nheight = \"ride\"\nfiles = [\"ride\"]\n";
  const std::string left = "[[photos]]\nheight = \"left\"\nsteered = true\nfiles = [\"left\"]\n";
  EXPECT_EQ(complaint(straight + left + "[[photos]]\nheight = \"left\"\nfiles = [\"more\"]\n"),
            "job.toml:17:1: \"left\" has photos with the wheels steered and photos without." + remedy);
  EXPECT_EQ(
      complaint(left + "[[photos]]\nheight = \"up\"\nfiles = [\"up\"]\n"),
      "job.toml:12:11: The pivots are given at \"left\", so the wheels cannot be steered there." + remedy);
}

TEST(ReadJob, KnowsWhatIsStillToBeMeasuredAndInWhichSection) {
  std::string text = with("stand_off = 20", "stand_off = \"?\"");
  text = replaced_once(text, "between_now = [\"0.120 in\"]", "between_now = [\"?\"]");
  const Job job = job_from(text);
  ASSERT_EQ(job.blanks.size(), 2U);
  EXPECT_EQ(job.blanks[0].section, "hardpoint");
  EXPECT_EQ(job.blanks[0].key, "stand_off");
  EXPECT_EQ(job.blanks[0].line, 45);
  EXPECT_EQ(job.blanks[1].section, "rod_end");
  EXPECT_EQ(job.blanks[1].key, "between_now");
  EXPECT_EQ(job.blanks[1].line, 58);
  EXPECT_TRUE(job.rod_end.between_now.empty());
}

TEST(ReadJob, TellsWhichSectionIsMissing) {
  EXPECT_EQ(complaint_about("side = \"left\"\nlayout = \"strut\"\n[[photos]]\nfiles = [\"photos/*.jpg\"]\n"),
            "job.toml:1:1: The section \"axes\" is missing in the job file. Add a section [axes] with its "
            "keys below it.");
}

// Whatever bytes are cut off or changed, the reader answers or throws Problem; it never does anything else.
TEST(ReadJob, SurvivesEveryTruncationAndManyChangedBytes) {
  const std::string text = good_job;
  const TemporaryFolder folder;
  const auto try_to_read = [&](const std::string& changed) {
    try {
      read_job(folder.write("job.toml", changed));
    } catch (const Problem& problem) {
      EXPECT_EQ(problem.kind(), ProblemKind::input);
    }
  };
  for (std::size_t length = 0; length < text.size(); length += 7) try_to_read(text.substr(0, length));
  for (std::size_t at = 0; at < text.size(); at += 11)
    for (const char byte : {'\0', '"', '[', '9', '-', '\xff'}) {
      std::string changed = text;
      changed[at] = byte;
      try_to_read(changed);
    }
}

}  // namespace
}  // namespace pivotfix
