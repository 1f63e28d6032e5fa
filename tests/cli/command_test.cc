// SPDX-License-Identifier: Apache-2.0
// What commands tell people to type next: it must work as it stands there.
#include "cli/command.h"

#include <gtest/gtest.h>

#include "cli/job_options.h"

namespace pivotfix {
namespace {

TEST(ShellWord, QuotesWhatAShellWouldTakeApart) {
  EXPECT_EQ(shell_word("results/front-left_2.json"), "results/front-left_2.json");
  EXPECT_EQ(shell_word("my car/hardpoints.json"), "'my car/hardpoints.json'");
  EXPECT_EQ(shell_word("anna's.toml"), "'anna'\\''s.toml'");
  EXPECT_EQ(shell_word("a$b.json"), "'a$b.json'");
  EXPECT_EQ(shell_word(""), "''");
}

// The job tells its unit, a hardpoint file does not.
TEST(LaterCommand, AsksAboutAHardpointFileInTheUnitOfItsJob) {
  Job job;
  JobOptions options;
  options.job = "front left.toml";
  EXPECT_EQ(later_command(options, job, "hardpoints.json"), "pivotfix steer 'front left.toml'");
  job.unit = LengthUnit::inch;
  EXPECT_EQ(later_command(options, job, "hardpoints.json"), "pivotfix steer 'front left.toml'");
  options.job = "left.txt";
  EXPECT_EQ(later_command(options, job, "hardpoints.json"), "pivotfix steer hardpoints.json --units in")
      << "no job to steer";
  options.folder = "results";
  EXPECT_EQ(later_command(options, job, "results/hardpoints.json"),
            "pivotfix steer results/hardpoints.json --units in");
  job.unit = LengthUnit::millimetre;
  EXPECT_EQ(later_command(options, job, "results/hardpoints.json"), "pivotfix steer results/hardpoints.json");
}

}  // namespace
}  // namespace pivotfix
