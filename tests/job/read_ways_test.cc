// SPDX-License-Identifier: Apache-2.0
// Pointer, tapes, vehicle axes and ride height in the job file: values, and the exact complaint for every way
// to get them wrong.
#include <gtest/gtest.h>

#include "ways_job.h"

namespace pivotfix {
namespace {

TEST(ReadWays, TakesAnUncertaintyForEachCoordinateOfAPlaceMeasuredByHand) {
  const Job job = job_from(with("sigma = \"2 mm\"", "sigma = [1, \"0.2 cm\", 3]"));
  EXPECT_EQ(std::get<ByHand>(job.question.hardpoints[3].way).sigma_vehicle_mm, Eigen::Vector3d(1, 2, 3));
  EXPECT_NE(complaint_about(with("sigma = \"2 mm\"", "sigma = [1, 0, 3]")).find("must be more than zero"),
            std::string::npos);
}

TEST(ReadWays, TakesToeFromThePhotosInATableOfItsOwn) {
  const std::string from_photos = std::string(ways_job) + "[[readings]]\nfrom_photos = true\n";
  EXPECT_TRUE(job_from(from_photos).readings_from_photos);
  EXPECT_FALSE(job_from(ways_job).readings_from_photos);
  EXPECT_NE(complaint_about(from_photos + "travel = 3\n").find("has no other keys"), std::string::npos);
}

TEST(ReadWays, GivesPointerTapesAxesAndRideHeight) {
  const Job job = job_from(ways_job);
  const HardpointQuestion& question = job.question;
  ASSERT_EQ(question.bodies.size(), 3U);
  EXPECT_EQ(question.bodies[2].name, "pointer");
  EXPECT_EQ(question.bodies[2].tags, (std::vector<int>{70, 71, 72, 73}));
  ASSERT_EQ(job.pointer_photos.size(), 3U);
  EXPECT_EQ(job.pointer_photos[0].hardpoint, "");
  EXPECT_EQ(job.pointer_photos[1].hardpoint, "lower_ball_joint");
  EXPECT_EQ(job.pointer_photos[2].patterns.size(), 2U);
  EXPECT_EQ(question.axes.forward_from, 6);
  EXPECT_EQ(question.axes.forward_to, 7);
  EXPECT_EQ(question.axes.forward_between, std::vector<int>{8});
  EXPECT_EQ(question.axes.half_track_sigma_mm, 3.0);
  ASSERT_EQ(question.distances.size(), 1U);
  EXPECT_EQ(question.distances[0].from, "link_inner_joint");
  EXPECT_EQ(question.distances[0].to_tag, 30);
  EXPECT_EQ(question.distances[0].length_mm, 412.0);
  ASSERT_TRUE(question.ride_height);
  EXPECT_EQ(question.ride_height->body_tag, 35);
  EXPECT_EQ(question.ride_height->recorded_mm, 372.0);
  EXPECT_EQ(question.ride_height->stand_off_mm, 45.0);
  EXPECT_EQ(question.ride_height->sigma_mm, 1.5);
}

TEST(ReadWays, TakesTheCentrePlaneFromHubsLikePointsOrOneTag) {
  const std::string forward = "forward = [6, 8, 7]\nhalf_track = 745\nhalf_track_sigma = 3\n";
  const AxesRecipe like =
      job_from(with(forward, "like_points = [[30, 31], [32, 33]]\nlike_sigma = 2\n")).question.axes;
  EXPECT_EQ(like.like_points, (std::vector<std::pair<int, int>>{{30, 31}, {32, 33}}));
  EXPECT_EQ(like.like_sigma_mm, 2.0);
  const AxesRecipe hubs = job_from(with(forward, "hubs = [17, 37, 38, 39]\nlike_sigma = 2\n")).question.axes;
  EXPECT_EQ(hubs.hubs, (std::array<int, 4>{17, 37, 38, 39}));
  const AxesRecipe tag =
      job_from(with("forward = [6, 8, 7]", "forward_tag = 6\nforward_sigma = 0.5")).question.axes;
  EXPECT_EQ(tag.forward_tag, 6);
  EXPECT_NEAR(tag.forward_sigma_rad, 0.5 * M_PI / 180.0, 1e-12);
  EXPECT_EQ(tag.half_track_mm, 745.0);
}

TEST(ReadWays, TakesTheRideHeightFromPhotosWithTheWheelOn) {
  const Job job = job_from(with("distance = \"372 mm\"\nstand_off = \"45 mm\"\nsigma = \"1.5 mm\"",
                                "photos = [\"wheel-on/*.jpg\"]\nbody = [30, 31]\nwheel_tag = 48\n"
                                "stand_off = 40"));
  ASSERT_TRUE(job.wheel_on_photos);
  EXPECT_EQ(job.wheel_on_photos->tags, (std::set<int>{30, 31, 35, 48}));
  EXPECT_EQ(job.question.ride_height->wheel_tag, 48);
  EXPECT_EQ(job.question.ride_height->stand_off_mm, 40.0);
  EXPECT_EQ(job.question.ride_height->recorded_mm, 0.0);
}

TEST(ReadWays, GivesEveryTableATurnOfTheHubWhenOneHasIt) {
  const Job job =
      job_from(with("[moving]", "[[photos]]\nhub_turn = 1\nfiles = [\"turned/*.jpg\"]\n[moving]"));
  EXPECT_EQ(job.photo_sets[0].part, "turn 0");
  EXPECT_EQ(job.photo_sets[1].part, "turn 1");
  EXPECT_EQ(job.question.heights, std::vector<std::string>{"ride"});
}

// A bolt through both pivots of an arm: a tag on its head, or one on either end.
TEST(ReadWays, TakesTwoPivotsOfOneArmOnOneBolt) {
  const std::string front = "[hardpoint.lower_arm_front_pivot]\npair = [10, 11]\n";
  const std::string rear = "[hardpoint.lower_arm_rear_pivot]\npair = [12, 13]\n";
  const auto job = [&](const std::string& front_keys, const std::string& rear_keys) {
    return with(rear, "[hardpoint.lower_arm_rear_pivot]\n" + rear_keys,
                with(front, "[hardpoint.lower_arm_front_pivot]\n" + front_keys));
  };
  for (const std::string& text :
       {job("tag = 10\nstand_off = 30\n", "tag = 10\nstand_off = 320\n"),
        job("pair = [10, 11]\nfraction = 0.1\n", "pair = [11, 10]\nfraction = 0.1\n"),
        job("tag = 10\nstand_off = 30\n", "pair = [10, 11]\nfraction = 0.9\n")})
    EXPECT_NO_THROW(job_from(text)) << text;
}

// A tag may have any number of pivots beside it.
TEST(ReadWays, TakesAPivotBesideATagThatMarksAnother) {
  EXPECT_NO_THROW(job_from(with("tag = 15\nstand_off = 20", "tag = 12\noffset = [300, 0, -20]")));
}

class ReadWaysRefuses : public testing::TestWithParam<BadJob> {};

TEST_P(ReadWaysRefuses, AndSaysWhereAndWhatToWrite) {
  EXPECT_EQ(complaint_about(with(GetParam().old_part, GetParam().new_part)), GetParam().complaint);
}

const BadJob bad_ways[] = {
    {"TouchesWithoutPointer", "[pointer]\ntags = [70, 71, 72, 73]\ndent = [\"pointer/dent*\"]\n", "",
     "job.toml:23:11: \"touches\" needs the pointer, and the job has none. Add a section [pointer] with its "
     "tags and the photos of its tip in a dent."},
    {"PointerWithoutDent", "dent = [\"pointer/dent*\"]\n", "",
     "job.toml:11:1: \"dent\" is missing in [pointer]. Add a line like: dent = [\"pointer/dent*\"]"},
    {"PointerOfOneTag", "tags = [70, 71, 72, 73]", "tags = [70]",
     "job.toml:12:8: The pointer has 1 tags; two are the least. Four to six on all sides of the stick are "
     "better: some always face the camera."},
    {"PointerTagOnTheKnuckle", "tags = [70, 71, 72, 73]", "tags = [70, 40]",
     "job.toml:12:13: Tag 40 sits on the pointer and on the knuckle. Name it once."},
    {"PointerTagOnTheFloor", "floor = [0, 1, 2, 3]", "floor = [0, 1, 2, 70]",
     "job.toml:16:19: Tag 70 sits on the pointer, which moves, so it cannot mark a floor tag. Name another "
     "tag here, or take it out of that part."},
    {"PointerTagBehindAPivot", "tag = 15", "tag = 71",
     "job.toml:33:7: Tag 71 sits on the pointer, which moves, so it cannot mark link_inner_joint. Name "
     "another tag here, or take it out of that part."},
    {"EndOfAPairBehindAnotherPivot", "tag = 15", "tag = 12",
     "job.toml:33:7: Tag 12 already marks lower_arm_rear_pivot (pair). Correct the number here or there; for "
     "a "
     "second pivot beside a tag use offset."},
    {"PairsThatShareOneEnd", "pair = [12, 13]", "pair = [12, 10]",
     "job.toml:24:13: Tag 10 already marks lower_arm_front_pivot (pair). Correct the number here or there; "
     "for "
     "a second pivot beside a tag use offset."},
    {"PairWithTheTagOfAnotherPivot", "pair = [19, 20]\n[hardpoint.link_inner_joint]\ntag = 15",
     "ring = [19, 20, 15]\n[hardpoint.link_inner_joint]\ntag = 15",
     "job.toml:33:7: Tag 15 already marks strut_axis_low (ring). Correct the number here or there; for a "
     "second "
     "pivot beside a tag use offset."},
    {"ArmPivotsAtOneDepthBehindATag", "pair = [10, 11]\n[hardpoint.lower_arm_rear_pivot]\npair = [12, 13]",
     "tag = 10\nstand_off = 30\n[hardpoint.lower_arm_rear_pivot]\ntag = 10\nstand_off = 34",
     "job.toml:25:7: Tag 10 already marks lower_arm_front_pivot. A tag has one pivot behind it; for a second "
     "one "
     "beside it use offset."},
    {"NoTouch", "touches = [\"pointer/ball*\", [\"photos/t1.jpg\", \"photos/t2.jpg\"]]", "touches = []",
     "job.toml:26:11: \"touches\" names no photo. Write it like [\"pointer/lower_ball_joint*\"]: each folder "
     "is one position of the pointer."},
    {"TouchesBesideATag", "touches = [\"pointer/ball*\", [\"photos/t1.jpg\", \"photos/t2.jpg\"]]",
     "touches = [\"pointer/ball*\"]\nat = [0, 0, 0]",
     "job.toml:27:6: \"at\" does not go with \"touches\" in [hardpoint.lower_ball_joint]. Keep one of the "
     "two."},
    {"TwoLengthwiseWays", "half_track = 745", "half_track = 745\nhubs = [17, 37, 38, 39]",
     "job.toml:19:8: \"hubs\" does not go with \"forward\" in [axes]. Keep one of the two."},
    {"HalfTrackBesideLikePoints", "forward = [6, 8, 7]", "like_points = [[30, 31]]\nlike_sigma = 2",
     "job.toml:19:14: \"half_track\" does not go with \"like_points\" in [axes]. Keep one of the two."},
    {"LikePointsWithoutSigma", "forward = [6, 8, 7]\nhalf_track = 745\nhalf_track_sigma = 3\n",
     "like_points = [[30, 31]]\n",
     "job.toml:15:1: \"like_sigma\" is missing in [axes]. Add a line like: like_sigma = \"2 mm\""},
    {"LikePointTwice", "forward = [6, 8, 7]\nhalf_track = 745\nhalf_track_sigma = 3\n",
     "like_points = [[30, 31], [31, 32]]\n",
     "job.toml:17:27: \"like_points\" names tag 31 twice. Each tag has one like it on the other side."},
    {"ThreeHubs", "forward = [6, 8, 7]\nhalf_track = 745\nhalf_track_sigma = 3\n", "hubs = [17, 37, 38]\n",
     "job.toml:17:8: \"hubs\" needs four tags, but here are 3. Front left, front right, rear left, rear "
     "right."},
    {"ForwardTagWithoutSigma", "forward = [6, 8, 7]", "forward_tag = 6",
     "job.toml:15:1: \"forward_sigma\" is missing in [axes]. Add a line like: forward_sigma = 0.5"},
    {"ForwardLineOfOne", "forward = [6, 8, 7]", "forward = [6]",
     "job.toml:17:11: A forward line needs two tags, but here are 1. Name the rear one first."},
    {"TapeBetweenTags", "between = [30, \"link_inner_joint\"]", "between = [30, 31]",
     "job.toml:43:11: Both ends of this distance are tags. A distance between tags belongs under [[scale]]; "
     "here one end is a hardpoint."},
    {"TapeToAnUnknownPoint", "between = [30, \"link_inner_joint\"]", "between = [30, \"link_inner_joynt\"]",
     "job.toml:43:16: \"link_inner_joynt\" is no hardpoint of the strut layout. Did you mean "
     "\"link_inner_joint\"?"},
    {"TapeWithoutSigma", "length = \"412 mm\"\nsigma = \"1 mm\"\n", "length = \"412 mm\"\n",
     "job.toml:42:1: \"sigma\" is missing in [[distance]]. Add a line like: sigma = \"1 mm\""},
    {"RideHeightOnTheKnuckle", "tag = 35", "tag = 41",
     "job.toml:48:7: Tag 41 sits on the knuckle, so it does not tell the ride height. Name a tag on the body "
     "above the wheel."},
    {"RideHeightByNothing", "distance = \"372 mm\"\n", "",
     "job.toml:47:1: \"distance\" is missing in [ride_height]. Add a line like: distance = \"372 mm\""},
    {"RideHeightTwice", "distance = \"372 mm\"", "distance = \"372 mm\"\nphotos = [\"on/*.jpg\"]",
     "job.toml:50:10: \"photos\" does not go with \"distance\" in [ride_height]. Keep one of the two."},
    {"BodyWithTape", "distance = \"372 mm\"", "distance = \"372 mm\"\nbody = [30, 31]",
     "job.toml:50:8: \"body\" needs photos with the wheel on in [ride_height]. Add photos = "
     "[\"wheel-on/*.jpg\"], or take it out."},
    {"TooFewBodyTags", "distance = \"372 mm\"", "photos = [\"on/*.jpg\"]\nbody = [30]\nwheel_tag = 48",
     "job.toml:50:8: \"body\" and \"tag\" name 2 tags on the body; three are the least. They tie the photos "
     "with the wheel on to the others: stick more on the wing and the sill."},
    {"HubTurnedUnnamed", "hub = [45, 46, 47]\n\n[pointer]",
     "\n[[photos]]\nhub_turn = 1\nfiles = [\"t/*.jpg\"]\n[pointer]",
     "job.toml:4:1: \"hub_turn\" says that the hub was turned, but no tags are named on the hub. Name them "
     "in "
     "a section [moving]: the wheel's axis is where the hub turns in the knuckle."},
    {"HubTurnedBackwards", "files = [\"photos/*.jpg\"]", "files = [\"photos/*.jpg\"]\nhub_turn = -1",
     "job.toml:6:12: \"hub_turn\" is -1, but may be 0 to 99. Count how often the hub was turned since the "
     "first photos."},
};

INSTANTIATE_TEST_SUITE_P(All, ReadWaysRefuses, testing::ValuesIn(bad_ways),
                         [](const auto& bad) { return bad.param.name; });

}  // namespace
}  // namespace pivotfix
