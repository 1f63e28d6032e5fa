// SPDX-License-Identifier: Apache-2.0
// From the photos of samples/club-car to the advice, against the truth behind the rendered scene. Prints the
// table of docs/accuracy.md. Proves nothing about real cars: the scene's lens is Brown's model without
// stabiliser, and its parts neither flex nor have play.
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>
#include <cstdio>
#include <memory>

#include "advice/advice.h"
#include "advice/made_up_sets.h"
#include "base/keep_larger.h"
#include "base/units.h"
#include "cli/pipeline.h"
#include "sample_truth.h"

namespace pivotfix {
namespace {

const std::string sample_folder = std::string(PIVOTFIX_SOURCE_DIR) + "/samples/club-car/";

struct Measured {
  SampleTruth truth{};
  LocatedJob located{};
  Advice advice{};
  Advice
      true_advice{};  // of the true hardpoints: for angles, which the truth file leaves to their definition
};

HardpointSet true_set(const Measured& measured) {
  HardpointSet set = measured.located.hardpoints;
  set.covariance_mm2.resize(0, 0);
  for (Hardpoint& point : set.points)
    point.position_vehicle_mm = measured.truth.hardpoints_vehicle_mm.at(point.name);
  return set;
}

class SampleJob : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    measured = std::make_unique<Measured>();
    measured->truth = read_sample_truth(sample_folder + "truth.json");
    const Job job = read_job(sample_folder + "job.toml");
    Progress quiet;
    measured->located = locate_job(job, {}, quiet);
    measured->advice = advise(measured->located.hardpoints, job.rod_end, job.driving.travel);
    measured->true_advice = advise(true_set(*measured), job.rod_end, job.driving.travel);
  }
  static void TearDownTestSuite() { measured.reset(); }

  static void row(const char* quantity, double value, double bar, const char* unit) {
    std::printf("| %-58s | %8.4f | %6.3f | %-3s |\n", quantity, value, bar, unit);
    EXPECT_LE(value, bar) << quantity;
  }

  static std::unique_ptr<Measured> measured;
};

std::unique_ptr<Measured> SampleJob::measured;

double hardpoint_rms_mm(const Measured& measured) {
  double squares = 0.0;
  for (const Hardpoint& point : measured.located.hardpoints.points)
    squares +=
        (point.position_vehicle_mm - measured.truth.hardpoints_vehicle_mm.at(point.name)).squaredNorm();
  return std::sqrt(squares / static_cast<double>(measured.located.hardpoints.points.size()));
}

// After the best rigid fit, since the network's frame is arbitrary; tags in four photos or more.
double tag_centre_rms_mm(const Measured& measured) {
  std::vector<const TagInSpace*> tags;
  for (const TagInSpace& tag : measured.located.network.tags)
    if (tag.photos >= 4) tags.push_back(&tag);
  Eigen::Matrix3Xd found(3, tags.size()), truth(3, tags.size());
  for (std::size_t i = 0; i < tags.size(); ++i) {
    found.col(i) = tags[i]->network_from_tag.translation_mm;
    truth.col(i) = measured.truth.tag_centres_vehicle_mm.at(tags[i]->number);
  }
  const Eigen::Matrix4d fit = Eigen::umeyama(found, truth, false);
  const Eigen::Matrix3Xd miss = (fit * found.colwise().homogeneous()).topRows<3>() - truth;
  return std::sqrt(miss.colwise().squaredNorm().mean());
}

double worst_toe_miss_deg(const Measured& measured) {
  double worst = 0.0;
  const ToeCurve& curve = measured.advice.now;
  for (std::size_t i = 0; i < measured.truth.now.travel_mm.size(); ++i)
    for (std::size_t k = 0; k < curve.travel_mm.size(); ++k)
      if (std::abs(curve.travel_mm[k] - measured.truth.now.travel_mm[i]) < 1e-6)
        keep_larger(worst,
                    std::abs(deg_from_rad(curve.toe_change_rad[k]) - measured.truth.now.toe_change_deg[i]));
  return worst;
}

TEST_F(SampleJob, MeetsItsAccuracy) {
  const Measured& m = *measured;
  std::printf("| %-58s | %8s | %6s | %-3s |\n|---|---|---|---|\n", "quantity, against the scene's truth",
              "reached", "bar", "");
  row("hardpoints in vehicle axes, 3-D root mean square", hardpoint_rms_mm(m), 0.30, "mm");
  row("tag centres in space, 3-D root mean square", tag_centre_rms_mm(m), 0.30, "mm");
  row("mismatch of link and arm",
      deg_from_rad(std::abs(m.advice.mismatch_rad.value - m.true_advice.mismatch_rad.value)), 0.05, "deg");
  row("toe curve over +/-40 mm, largest difference", worst_toe_miss_deg(m), 0.01, "deg");
  row("rod-end height that is best",
      std::abs(m.advice.best_height_change_mm.value - m.truth.best_rod_end_height_mm), 0.30, "mm");
}

TEST_F(SampleJob, MeasuresItsKnownLengthsWithinTheLimit) {
  const Acceptance acceptance =
      judge_lengths(measured->located.network, read_known_lengths(sample_folder + "known-lengths.toml"), {});
  std::printf("%s", acceptance_text(acceptance).c_str());
  EXPECT_EQ(acceptance.lengths.size(), 14u);
  EXPECT_TRUE(acceptance.passed);
}

TEST_F(SampleJob, ComparesToeAtEveryTravelOfTheTruth) {
  const ToeCurve& curve = measured->advice.now;
  for (const double travel_mm : measured->truth.now.travel_mm) {
    bool present = false;
    for (const double computed_mm : curve.travel_mm)
      present = present || std::abs(computed_mm - travel_mm) < 1e-6;
    EXPECT_TRUE(present) << travel_mm << " mm";
  }
}

TEST_F(SampleJob, AgreesWithTheTrueCornersOwnBestHeight) {
  EXPECT_NEAR(measured->true_advice.best_height_change_mm.value, measured->truth.best_rod_end_height_mm,
              0.01);
}

TEST_F(SampleJob, StatesUncertaintiesThatCoverTheErrors) {
  const HardpointSet& set = measured->located.hardpoints;
  for (std::size_t i = 0; i < set.points.size(); ++i)
    for (int axis = 0; axis < 3; ++axis) {
      const double miss_mm = set.points[i].position_vehicle_mm[axis] -
                             measured->truth.hardpoints_vehicle_mm.at(set.points[i].name)[axis];
      EXPECT_LE(std::abs(miss_mm), 4.0 * sigma_mm(set, i, axis) + 1e-6)
          << set.points[i].name << " axis " << axis;
    }
}

TEST_F(SampleJob, GivesTheSameBytesOnOneThread) {
  Progress quiet;
  const LocatedJob again = locate_job(read_job(sample_folder + "job.toml"), {1, false}, quiet);
  EXPECT_EQ(hardpoints_to_json(again.hardpoints), hardpoints_to_json(measured->located.hardpoints));
}

TEST_F(SampleJob, UsesEveryPhotoAndEveryTagThatIsWhole) {
  constexpr int cut_by_its_bracket = 36;  // hides one corner of the tag in every photo
  for (const Station& station : measured->located.network.stations)
    EXPECT_TRUE(station.used) << station.photo;
  for (const auto& [number, place] : measured->truth.tag_centres_vehicle_mm)
    EXPECT_EQ(measured->located.network.index_of_tag(number) >= 0, number != cut_by_its_bracket)
        << "tag " << number;
}

}  // namespace
}  // namespace pivotfix
