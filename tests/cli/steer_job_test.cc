// SPDX-License-Identifier: Apache-2.0
// `steer` on a job file: what it takes from it, and what it says of pivots that are not of the job as it is
// now.
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>

#include "base/checksum.h"
#include "run_program.h"

namespace pivotfix {
namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

TEST(Steer, WantsHardpointsBesideAJob) {
  const Workshop workshop;
  ASSERT_EQ(workshop.run({"new", "front.toml"}).exit_code, 0);
  const Outcome without = workshop.run({"steer", "front.toml"});
  EXPECT_EQ(without.exit_code, 3);
  EXPECT_EQ(
      without.err,
      "pivotfix: hardpoints.json: There is no hardpoint file of this name that can be read. Run this first: "
      "pivotfix locate front.toml. Or, where \"run\" or \"locate\" wrote to a folder of its own (-o), name "
      "the file there: pivotfix steer FOLDER/hardpoints.json\n");
  workshop.copy_data("hand-typed-strut.json", "hardpoints.json");
  workshop.fill_in("front.toml");
  EXPECT_EQ(workshop.run({"steer", "front.toml"}).exit_code, 0);
  ASSERT_EQ(workshop.run({"new", "front.toml", "--force", "--side", "right"}).exit_code, 0);
  const Outcome other_side = workshop.run({"steer", "front.toml"});
  EXPECT_EQ(other_side.exit_code, 3);
  EXPECT_EQ(other_side.err,
            "pivotfix: hardpoints.json: The file is of another side or layout than the job. Run this again: "
            "pivotfix locate front.toml\n");
}

// Nothing stands in for what was forgotten. What only the photos needed may stay blank.
TEST(Steer, WantsFromAJobWhatIsOnTheStudAndNoStandOffs) {
  const Workshop workshop;
  ASSERT_EQ(workshop.run({"new", "front.toml"}).exit_code, 0);
  workshop.copy_data("hand-typed-strut.json", "hardpoints.json");
  const Outcome blank = workshop.run({"steer", "front.toml"});
  EXPECT_EQ(blank.exit_code, 3);
  EXPECT_EQ(blank.out, "");
  EXPECT_EQ(
      blank.err,
      "pivotfix: front.toml:95: Still to be measured: between_now (line 95); other_side_now (line 96). Write "
      "the number in place of each \"?\", with its unit: \"25.4 mm\". The comment beside it says from where "
      "to where.\n");
  std::string job = workshop.read("front.toml");
  for (const std::string key : {"between_now", "other_side_now"}) {
    const std::size_t at = job.find(key + " = [\"?\"]");
    ASSERT_NE(at, std::string::npos) << key;
    job.replace(at, key.size() + 8, key + " = []");
  }
  workshop.write("front.toml", job);
  const Outcome filled = workshop.run({"steer", "front.toml"});
  EXPECT_EQ(filled.exit_code, 0) << filled.err;
  EXPECT_TRUE(has(job, "stand_off = \"?\""));
  workshop.write("front.toml", job + "\n[rod_end.stud]\nlength = \"?\"\n");
  EXPECT_EQ(workshop.run({"steer", "front.toml"}).exit_code, 3);
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
  void make_older_by_hours(const std::string& name, int hours) const {
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

// The job's own word comes first.
TEST_F(SteerOnAJob, TakesACamberThatItDoesNotStateFromThePhotos) {
  std::string pivots = workshop_.read("hardpoints.json");
  for (auto at = pivots.find("\"sigma\": 1.0"); at != std::string::npos; at = pivots.find("\"sigma\": 1.0"))
    pivots.replace(at, 12, "\"sigma\": 0.05");
  workshop_.write("hardpoints.json", pivots);
  const auto report = [&] {
    const Outcome outcome = workshop_.run({"steer", "front.toml", "--report", "r.html", "--force"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    return workshop_.read("r.html");
  };
  EXPECT_TRUE(has(steer().out, "Camber was not entered")) << "a stated one of an earlier job is none";
  EXPECT_FALSE(has(report(), "camber from the photos"));
  const std::string stated = "\"camber_deg\": -1.5";
  pivots.replace(pivots.find(stated), stated.size(),
                 stated + ", \"camber_sigma_deg\": 0.1, \"camber_from_photos\": true");
  workshop_.write("hardpoints.json", pivots);
  EXPECT_FALSE(has(steer().out, "Camber was not entered"));
  EXPECT_TRUE(has(report(), "camber from the photos"));
  std::string job = workshop_.read("front.toml");
  job.replace(job.find("# camber = "), 2, "");
  workshop_.write("front.toml", job);
  EXPECT_FALSE(has(report(), "camber from the photos"));
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
  make_older_by_hours("diagnosis.txt", 1);
  make_older_by_hours("hardpoints.json", 2);
  EXPECT_EQ(steer().err,
            "pivotfix: note: The last run or locate was refused (diagnosis.txt): these pivots are older.\n");
  make_older_by_hours("diagnosis.txt", 3);
  EXPECT_EQ(steer().err, "");
  workshop_.write("diagnosis.txt", "What the doctor said.\n");
  EXPECT_EQ(steer().err, "") << "another's file";
}

TEST_F(SteerOnAJob, ReadsStudAndRodEndFromTheJob) {
  const std::string job = workshop_.read("front.toml");
  workshop_.write("front.toml", job +
                                    "[rod_end.sizes]\nball_width = 16\nball_diameter = 22.225\n"
                                    "housing_width = 15\n");
  const Outcome outcome = steer();
  EXPECT_TRUE(has(outcome.out, "Tilt of the rod end over the travel"));
  EXPECT_TRUE(has(outcome.out, "The rod end binds: at "));
}

}  // namespace
}  // namespace pivotfix
