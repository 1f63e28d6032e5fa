// SPDX-License-Identifier: Apache-2.0
// The job file as values, and the exact complaint for every way to get it wrong.
#include <gtest/gtest.h>

#include <set>

#include "base/units.h"
#include "job_complaints.h"

namespace pivotfix {
namespace {

// Invented. Line numbers matter to the tests below.
const char* const good_job = R"(title = "front left"
side = "left"
layout = "strut"
units = "mm"

[tags]
side = 40
sizes = [{ tags = [60, 61], side = "60 mm" }]

[[photos]]
height = "ride"
files = ["photos/*.jpg"]

[[scale]]
between = [60, 61]
length = "249.6 mm"
sigma = "0.05 mm"

[axes]
floor = [0, 1, 2, 3]
floor_height = 0.5
forward = [6, 7]
forward_sigma = "6 min"
half_track = "29.5 in"

[hardpoint.lower_arm_front_pivot]
pair = [10, 11]
fraction = 0.25
[hardpoint.lower_arm_rear_pivot]
pair = [12, 13]
[hardpoint.lower_ball_joint]
tag = 14
stand_off = "26 mm"
sigma = 0.3
[hardpoint.strut_top_mount]
at = [10, 560, 690]
sigma = "2 mm"
[hardpoint.strut_axis_low]
pair = [19, 20]
[hardpoint.link_inner_joint]
tag = 15
offset = [1, -2, -30]
[hardpoint.link_outer_joint]
tag = 16
stand_off = 20
[hardpoint.wheel_centre]
tag = 17
stand_off = 100

[wheel]
toe = "6 min"
camber = -1.5
rim_diameter = "16 in"

[rod_end]
mounted = "above-arm"
stud_axis = [0, 3, 4]
between_now = ["0.120 in"]
spacers = [{ thickness = "0.200 in", count = 2 }, { thickness = 1.5 }]

[travel]
bump = 30
droop = "1 in"
)";

std::string with(const std::string& old_part, const std::string& new_part) {
  return replaced_once(good_job, old_part, new_part);
}

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

class ReadJobRefuses : public testing::TestWithParam<BadJob> {};

TEST_P(ReadJobRefuses, AndSaysWhereAndWhatToWrite) {
  EXPECT_EQ(complaint_about(with(GetParam().old_part, GetParam().new_part)), GetParam().complaint);
}

const BadJob bad_jobs[] = {
    {"Syntax", "title = \"front left\"", "title = front left",
     "job.toml:1:10: This line cannot be read as TOML: Error while parsing boolean: expected 'false', saw "
     "'fr'. Texts need quotes, lists need brackets."},
    {"KeyWithASlip", "stand_off = \"26 mm\"", "standoff = \"26 mm\"",
     "job.toml:33:1: Unknown key \"standoff\" in [hardpoint.lower_ball_joint]. Did you mean \"stand_off\"?"},
    {"KeyFarFromAny", "droop = \"1 in\"", "colour = 3",
     "job.toml:63:1: Unknown key \"colour\" in [travel]. Known here are: driving, bump, droop, aim, "
     "weights."},
    {"SectionWithASlip", "[travel]", "[travle]",
     "job.toml:61:2: Unknown key \"travle\" in the job file. Did you mean \"travel\"?"},
    {"TextForANumber", "fraction = 0.25", "fraction = \"half\"",
     "job.toml:28:12: \"fraction\" must be a number, but here is a text. Write it like 0.5."},
    {"NumberForAText", "title = \"front left\"", "title = 5",
     "job.toml:1:9: \"title\" must be a text, but here is a whole number. Write it like \"this\"."},
    {"ListForALength", "length = \"249.6 mm\"", "length = [1]",
     "job.toml:16:10: \"length\" must be a length, but here is a list. Write it like 25.4 or \"25.4 mm\" or "
     "\"0.200 "
     "in\"."},
    {"UnknownUnitOfALength", "length = \"249.6 mm\"", "length = \"249.6 feet\"",
     "job.toml:16:10: \"249.6 feet\" is not a length: unknown unit \"feet\". Write it like \"25.4 mm\" or "
     "\"0.200 "
     "in\"."},
    {"InfiniteLength", "floor_height = 0.5", "floor_height = inf",
     "job.toml:21:16: \"floor_height\" is not a finite number. Write it like 0.5."},
    {"UnknownUnits", "units = \"mm\"", "units = \"inch\"",
     "job.toml:4:9: \"inch\" is no unit for a job. Known are \"mm\" and \"in\"."},
    {"UnknownSide", "side = \"left\"", "side = \"lefft\"",
     "job.toml:2:8: 'lefft' is no side of the car. Known are 'left', 'right'."},
    {"UnknownLayout", "layout = \"strut\"", "layout = \"beam\"",
     "job.toml:3:10: 'beam' is no suspension layout. Known are 'strut', 'strut-two-links', "
     "'double-wishbone', 'double-wishbone-upper-spring', 'five-link'."},
    {"SingleTableForAList", "[[scale]]", "[scale]",
     "job.toml:14:1: \"scale\" must be a list of tables, but here is a table. Write it like [[scale]]."},
    {"MissingKey", "length = \"249.6 mm\"\n", "",
     "job.toml:14:1: \"length\" is missing in [[scale]]. Add a line like: length = \"200.1 mm\""},
    {"MissingHalfTrack", "half_track = \"29.5 in\"\n", "",
     "job.toml:19:1: \"half_track\" is missing in [axes]. Add a line like: half_track = \"745 mm\""},
    {"TagOutOfTheFamily", "pair = [10, 11]", "pair = [10, 587]",
     "job.toml:27:13: There is no tag 587. Tags have the numbers 0 to 586."},
    {"NegativeTag", "tag = 14", "tag = -1",
     "job.toml:32:7: There is no tag -1. Tags have the numbers 0 to 586."},
    {"TagAsAText", "tag = 14", "tag = \"14\"",
     "job.toml:32:7: \"tag\" must be a tag number, but here is a text. Write it like 11."},
    {"PairWithItself", "pair = [12, 13]", "pair = [12, 12]",
     "job.toml:30:13: \"pair\" names tag 12 twice. It needs two different tags."},
    {"ThreeInAPair", "pair = [12, 13]", "pair = [12, 13, 14]",
     "job.toml:30:8: \"pair\" needs 2 entries, but here are 3."},
    {"OneTagBehindWhichTwoPivotsLie", "tag = 17", "tag = 14",
     "job.toml:47:7: Tag 14 already marks lower_ball_joint. A tag has one pivot behind it; for a second one "
     "beside "
     "it use offset."},
    {"TwoHardpointsAtOnePoint", "pair = [12, 13]", "pair = [11, 10]\nfraction = 0.75",
     "job.toml:30:8: These tags and this fraction already mark lower_arm_front_pivot. Two hardpoints cannot "
     "be one "
     "point."},
    {"FloorTagOnAPivot", "tag = 16", "tag = 3",
     "job.toml:44:7: Tag 3 lies on the floor, so it cannot mark link_outer_joint. Name another tag here or "
     "in "
     "\"floor\"."},
    {"FloorTagTwice", "floor = [0, 1, 2, 3]", "floor = [0, 1, 2, 1]",
     "job.toml:20:19: Tag 1 is named twice in \"floor\". Name it once."},
    {"TwoFloorTags", "floor = [0, 1, 2, 3]", "floor = [0, 1]",
     "job.toml:20:9: The floor needs three tags at least, but here are 2. Six, well spread, are better."},
    {"TwoSizesOfATag", "tags = [60, 61]", "tags = [60, 60]",
     "job.toml:8:24: Tag 60 has two sizes. Name it once."},
    {"ScaleTwice", "[axes]", "[[scale]]\nbetween = [61, 60]\nlength = 250\n[axes]",
     "job.toml:20:11: The distance between tags 61 and 60 is given twice. Keep one of the two, or their "
     "mean."},
    {"ZeroLength", "length = \"249.6 mm\"", "length = 0",
     "job.toml:16:10: \"length\" must be more than zero."},
    {"NegativeSize", "side = 40", "side = -40", "job.toml:7:8: \"side\" must be more than zero."},
    {"NegativeSigma", "sigma = 0.3", "sigma = -0.3",
     "job.toml:34:9: \"sigma\" must not be negative. It is a standard uncertainty: two thirds of tries lie "
     "within."},
    {"ZeroSigmaOfAScale", "sigma = \"0.05 mm\"", "sigma = 0",
     "job.toml:17:9: \"sigma\" must be more than zero."},
    {"InchesForMillimetres", "half_track = \"29.5 in\"", "half_track = 29.5",
     "job.toml:24:14: \"half_track\" is 29.50 mm, but may be 200 to 1500 mm. Check the unit: a text carries "
     "its own, "
     "\"29.5 in\"."},
    {"AngleOfAStranger", "camber = -1.5", "camber = -150",
     "job.toml:52:10: \"camber\" is -150.00 degrees, but may be 15 at most. Check the unit: a text carries "
     "its own, "
     "\"6 min\"."},
    {"NegativeStandOff", "stand_off = 20", "stand_off = -20",
     "job.toml:45:13: \"stand_off\" must not be negative. It is the depth of the pivot behind the tag's "
     "face; for a "
     "pivot in front of it use offset."},
    {"TwoWaysAtOnce", "fraction = 0.25", "stand_off = 3",
     "job.toml:28:13: \"stand_off\" does not go with \"pair\" in [hardpoint.lower_arm_front_pivot]. Keep one "
     "of the "
     "two."},
    {"NoWayAtAll", "pair = [19, 20]\n", "",
     "job.toml:38:1: [hardpoint.strut_axis_low] does not say where it is. Give it tag and stand_off, or tag "
     "and "
     "offset, or pair, ring, tube, touches, motion or at."},
    {"TagWithoutDepth", "stand_off = 100\n", "",
     "job.toml:46:1: \"stand_off\" is missing in [hardpoint.wheel_centre]. Add a line like: stand_off = \"26 "
     "mm\""},
    {"ByHandWithoutSigma", "sigma = \"2 mm\"\n", "",
     "job.toml:35:1: \"sigma\" is missing in [hardpoint.strut_top_mount]. Add a line like: sigma = \"2 mm\""},
    {"HardpointWithASlip", "[hardpoint.wheel_centre]", "[hardpoint.wheel_center]",
     "job.toml:46:12: \"wheel_center\" is no hardpoint of the strut layout. Did you mean \"wheel_centre\"?"},
    {"HardpointOfAnotherLayout", "[hardpoint.wheel_centre]", "[hardpoint.upper_ball_joint]",
     "job.toml:46:12: \"upper_ball_joint\" belongs to the double-wishbone layout, but layout is \"strut\". "
     "Take it "
     "out or change the layout."},
    {"MissingHardpoint", "[hardpoint.wheel_centre]\ntag = 17\nstand_off = 100\n", "",
     "job.toml:3:10: The strut layout also needs wheel_centre. Add a [hardpoint.NAME] table for each."},
    {"NoPhotoNamed", "files = [\"photos/*.jpg\"]", "files = []",
     "job.toml:12:9: \"files\" names no photo. Write it like [\"photos/*.jpg\"]."},
    {"TwoHeights", "[[scale]]", "[[photos]]\nheight = \"bump\"\nfiles = [\"b/*.jpg\"]\n[[scale]]",
     "job.toml:10:1: Photos at 2 heights, and no part is said to move between them. Name the tags on "
     "knuckle, "
     "lower_arm, upper_arm, link and hub in a section [moving], or give all photos one height."},
    {"StudLyingFlat", "stud_axis = [0, 3, 4]", "stud_axis = [1, 0, 0]",
     "job.toml:57:13: \"stud_axis\" must point upwards, no more than 60 degrees off the vertical. It is x "
     "forward, y "
     "left, z up; [0, 0, 1] is upright."},
    {"StudWithoutDirection", "stud_axis = [0, 3, 4]", "stud_axis = [0, 0, 0]",
     "job.toml:57:13: \"stud_axis\" has no direction: all of it is zero."},
    {"NoSpacerInACount", "count = 2", "count = 0", "job.toml:59:46: \"count\" is 0, but may be 1 to 50."},
    {"SpacerOfNoThickness", "thickness = 1.5", "thickness = 0",
     "job.toml:59:65: \"thickness\" must be more than zero."},
    {"UnknownMount", "mounted = \"above-arm\"", "mounted = \"on top\"",
     "job.toml:56:11: 'on top' is no place of a rod end. Known are 'below-arm', 'above-arm'."},
    // What stands in for a blank is not complained of: nobody wrote it.
    {"BlankThickness", "thickness = 1.5", "thickness = \"?\"",
     "job.toml:59: Still to be measured: thickness (line 59). Write the number in place of the \"?\", with "
     "its "
     "unit: \"25.4 mm\". The comment beside it says from where to where."},
    {"BlankAngle", "toe = \"6 min\"", "toe = \"?\"",
     "job.toml:51: Still to be measured: toe (line 51). Write the number in place of the \"?\", with its "
     "unit: "
     "\"25.4 mm\". The comment beside it says from where to where."},
};

INSTANTIATE_TEST_SUITE_P(All, ReadJobRefuses, testing::ValuesIn(bad_jobs),
                         [](const auto& bad_job) { return bad_job.param.name; });

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
