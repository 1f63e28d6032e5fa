// SPDX-License-Identifier: Apache-2.0
// What the job says of the rod end, the way of driving and toe readings. All numbers are invented.
#include <gtest/gtest.h>

#include "base/problem.h"
#include "base/temporary_folder.h"
#include "job/job.h"

namespace pivotfix {
namespace {

// The template for a new job without its own travel, and `more` below it.
Job job_with(const std::string& more) {
  std::string text = new_job_text({});
  text.erase(text.find("[travel]"));
  const TemporaryFolder folder;
  return read_job(folder.write("job.toml", text + more));
}

std::string complaint_about(const std::string& more) {
  try {
    job_with(more);
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::input);
    EXPECT_GT(problem.place().line, 0);
    return problem.what_happened();
  }
  return "";
}

TEST(ReadRodEnd, TakesStudSizesAndHighMisalignmentSpacers) {
  const RodEnd rod_end = job_with(R"(
[rod_end.high_misalignment]
thickness = "0.25 in"
diameter = 12.5
on_car = false
[rod_end.stud]
length = "3 in"
nut_height = "12 mm"
[rod_end.sizes]
ball_width = "16 mm"
ball_diameter = "22.225 mm"
housing_width = "12 mm"
bore = "12 mm"
spacer_diameter = "0.75 in"
allowed_tilt = 13
)")
                             .rod_end;
  ASSERT_TRUE(rod_end.high_misalignment.has_value());
  EXPECT_NEAR(rod_end.high_misalignment->thickness_mm, 6.35, 1e-12);
  EXPECT_EQ(rod_end.high_misalignment->diameter_mm, 12.5);
  EXPECT_FALSE(rod_end.high_misalignment->on_car);
  EXPECT_NEAR(rod_end.stud.length_mm, 76.2, 1e-12);
  EXPECT_EQ(rod_end.stud.nut_height_mm, 12.0);
  EXPECT_EQ(rod_end.stud.thread_beyond_nut_mm, 3.0);
  EXPECT_EQ(rod_end.sizes.ball_width_mm, 16.0);
  EXPECT_EQ(rod_end.sizes.housing_width_mm, 12.0);
  EXPECT_NEAR(rod_end.sizes.spacer_diameter_mm, 19.05, 1e-12);
  EXPECT_NEAR(rod_end.sizes.allowed_tilt_rad, 0.22689280275926285, 1e-15);  // 13 degrees
}

TEST(ReadRodEnd, RefusesSizesThatContradictEachOtherOrLackTheirPartner) {
  EXPECT_TRUE(complaint_about("[rod_end.stud]\nlength = 70\n").starts_with("The stud's length says nothing"));
  EXPECT_TRUE(
      complaint_about("[rod_end.sizes]\nball_diameter = 20\n").starts_with("The rod end's tilt needs"));
  EXPECT_TRUE(complaint_about("[rod_end.sizes]\nball_width = 10\nball_diameter = 20\nhousing_width = 12\n")
                  .starts_with("The rod end's sizes contradict"));
}

TEST(ReadTravel, KnowsWaysOfDrivingAndReplacesTheirNumbers) {
  EXPECT_EQ(job_with("").driving.travel.bump_mm, 40.0);
  const Driving start = job_with("[travel]\ndriving = \"standing-start\"\nbump = 30\n").driving;
  EXPECT_EQ(start.name, "standing-start");
  EXPECT_EQ(start.travel.bump_mm, 30.0);
  EXPECT_EQ(start.travel.droop_mm, 75.0);
  EXPECT_EQ(weight_at(start.weights, -50.0), 2.0);
  EXPECT_EQ(weight_at(start.weights, -5.0), 1.5);
  EXPECT_EQ(weight_at(start.weights, 20.0), 1.0);
  const Driving own =
      job_with("[travel]\naim = \"smallest-peak\"\nweights = [{ travel = 0, weight = 3 }]\n").driving;
  EXPECT_EQ(own.aim, HeightAim::smallest_peak);
  EXPECT_EQ(weight_at(own.weights, -7.0), 3.0);
  EXPECT_EQ(complaint_about("[travel]\ndriving = \"rally\"\n"), "'rally' is no known way of driving.");
  EXPECT_EQ(complaint_about("[travel]\naim = \"flat\"\n"), "'flat' is no aim.");
  EXPECT_EQ(
      complaint_about("[travel]\nweights = [{ travel = 0, weight = 1 }, { travel = -5, weight = 1 }]\n"),
      "The travel does not rise from one weight to the next.");
}

// As far as the one-inch check goes: no droop at all.
TEST(ReadTravel, MayEndAtRideHeightOnOneSide) {
  const Travel up_only = job_with("[travel]\nbump = \"50 mm\"\ndroop = 0\n").driving.travel;
  EXPECT_EQ(up_only.bump_mm, 50.0);
  EXPECT_EQ(up_only.droop_mm, 0.0);
  EXPECT_EQ(job_with("[travel]\nbump = 0\ndroop = 1\n").driving.travel.droop_mm, 1.0);
  EXPECT_EQ(complaint_about("[travel]\nbump = 0\ndroop = 0.5\n"),
            "\"bump\" and \"droop\" together must be at least 1 mm.");
  EXPECT_EQ(complaint_about("[travel]\ndroop = -40\n"), "\"droop\" is -40.00 mm, but may be 0 to 300 mm.");
  EXPECT_EQ(complaint_about("[travel]\nbump = \"1.5 m\"\n"),
            "\"bump\" is 1500.00 mm, but may be 0 to 300 mm.");
}

TEST(ReadReadings, TakesAnglesOrLengthsAtTheRim) {
  const Job job = job_with(R"([[readings]]
travel = 0
toe = "0.1 deg"
sigma = "3 min"
[[readings]]
travel = "1 in"
travel_sigma = "1 mm"
toe_at_rim = "-1.2 mm"
sigma_at_rim = 0.3
)");
  ASSERT_EQ(job.readings.size(), 2U);
  EXPECT_NEAR(job.readings[0].toe_rad, 0.0017453292519943296, 1e-15);
  EXPECT_NEAR(job.readings[0].sigma_rad, 0.0008726646259971648, 1e-15);
  EXPECT_EQ(job.readings[0].travel_sigma_mm, 0.5);
  EXPECT_NEAR(job.readings[1].travel_mm, 25.4, 1e-12);
  EXPECT_EQ(job.readings[1].travel_sigma_mm, 1.0);
  EXPECT_NEAR(std::sin(job.readings[1].toe_rad) * 406.4, -1.2, 1e-12);
  EXPECT_EQ(complaint_about("[[readings]]\ntravel = 0\ntoe = 1\nsigma = 0\n"),
            "The uncertainty of a toe reading must be more than zero.");
  EXPECT_EQ(complaint_about("[[readings]]\ntravel = 0\ntoe = 1\ntoe_at_rim = 2\nsigma = 0.1\n"),
            "\"toe\" and \"toe_at_rim\" say the same twice.");
}

}  // namespace
}  // namespace pivotfix
