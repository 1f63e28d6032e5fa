// SPDX-License-Identifier: Apache-2.0
// The exact complaint for every way to get a job file wrong.
#include <gtest/gtest.h>

#include "good_job.h"

namespace pivotfix {
namespace {

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

}  // namespace
}  // namespace pivotfix
