// SPDX-License-Identifier: Apache-2.0
// Guards of network and locate that tests/network and tests/locate do not trigger: each by its
// sentence, and silent on the good job.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "network/simulated_corner.h"

namespace pivotfix {
namespace {

using simulation::CornerOfTags;
using simulation::Vector3d;

class Guards : public testing::Test {
 protected:
  Guards() {
    for (const auto& [x_mm, y_mm] : {std::pair(330.0, 960.0), std::pair(-330.0, 490.0)}) {
      corner_.question.axes.floor_tags.push_back(static_cast<int>(tags().size()));
      tags().push_back(simulation::facing({x_mm, y_mm, 0}, Vector3d::UnitZ()));
    }
  }

  std::vector<RigidTransform>& tags() { return corner_.truth.world_from_tag; }

  void photograph() {
    std::mt19937 random(5);
    input_ = simulation::photograph(corner_.truth, wishes_, random).input;
  }

  // All that is said, one sentence a line.
  std::string said() {
    const Network network = adjust_network(input_);
    std::string all;
    for (const std::string& warning : network.warnings) all += warning + "\n";
    for (const std::string& note : locate(network, corner_.question).notes) all += note + "\n";
    return all;
  }

  void expect_said(const std::string& words) {
    const std::string all = said();
    EXPECT_NE(all.find(words), std::string::npos) << all;
    EXPECT_EQ(std::count(all.begin(), all.end(), '\n'), 1) << all;
  }

  CornerOfTags corner_ = simulation::made_up_corner();
  simulation::Wishes wishes_{};
  NetworkInput input_{};
};

TEST_F(Guards, AreSilentOnAGoodJob) {
  photograph();
  EXPECT_EQ(said(), "");
}

TEST_F(Guards, NameAPivotWhoseTagNothingChecks) {
  photograph();
  int seen = 0;
  for (PhotoSightings& photo : input_.photos)
    std::erase_if(photo.sightings, [&](const Sighting& s) { return s.tag_number == 7 && ++seen > 2; });
  expect_said(
      "lower_ball_joint rests on tag 7, and only 2 photos show that: nothing checks it. Take two more of "
      "it.");
}

// Of 400 photos along the walk every 16th is kept, and those of 8 degrees of it: of these, the ones from
// about the same height show the tag.
TEST_F(Guards, NameAPivotWhoseTagIsSeenFromOneSide) {
  wishes_.photos = 400;
  photograph();
  std::vector<PhotoSightings> kept;
  for (std::size_t i = 0; i < input_.photos.size(); ++i) {
    const bool near = i >= 190 && i <= 215;
    if (!near && i % 16 != 0) continue;
    kept.push_back(input_.photos[i]);
    if (!near || std::abs(std::sin(2.4 * static_cast<double>(i))) > 0.3)
      std::erase_if(kept.back().sightings, [](const Sighting& s) { return s.tag_number == 7; });
  }
  input_.photos = kept;
  expect_said("lower_ball_joint rests on tag 7, seen from within ");
}

TEST_F(Guards, SayThatThreeFloorTagsCheckNothing) {
  corner_.question.axes.floor_tags.resize(3);
  photograph();
  expect_said("Three floor tags make a plane that nothing checks");
}

TEST_F(Guards, NameAFloorTagThatStandsOnSomething) {
  tags()[1].translation_mm.z() += 15.0;
  photograph();
  const std::string all = said();
  EXPECT_NE(all.find("mm off the plane of the floor tags: does it, or do the others, stand on a cable?"),
            std::string::npos)
      << all;
}

TEST_F(Guards, NameAFloorTagThatIsTilted) {
  tags()[1].rotation = Eigen::Quaterniond(Eigen::AngleAxisd(0.08, Vector3d::UnitX())) * tags()[1].rotation;
  photograph();
  expect_said("Floor tag 1 is tilted by 4.6 degrees against the floor: lay it flat.");
}

TEST_F(Guards, SayThatNoStripGivesTheScale) {
  photograph();
  input_.scale_bars.clear();
  expect_said("No scale strip: all lengths rest on the printed sides of the tags");
}

TEST_F(Guards, DoubtTheOnlyStripWhenThePrintComesOutAtAnOddSize) {
  photograph();
  input_.scale_bars.resize(1);
  EXPECT_EQ(said(), "");
  input_.scale_bars[0].length_mm *= 1.04;
  expect_said("By the only scale strip the tags were printed at 104.");
}

// The same rule or tape for all strips: they agree, and only the printed sides contradict.
TEST_F(Guards, DoubtAllStripsWhenThePrintComesOutAtAnOddSize) {
  photograph();
  for (ScaleBar& bar : input_.scale_bars) bar.length_mm *= 1.008;
  EXPECT_EQ(said(), "") << "printers do that";
  for (ScaleBar& bar : input_.scale_bars) bar.length_mm *= 1.025 / 1.008;
  expect_said("By the scale strips the tags were printed at 102.");
}

// Nothing is wrong then: told, not refused, and the strips count.
TEST_F(Guards, TellThatThePrinterFittedTheSheetToThePage) {
  wishes_.printed_scale = 0.97;
  photograph();
  expect_said("By the scale strips the tags were printed at 97.");
}

TEST_F(Guards, CountOnePictureUnderTwoNamesOnce) {
  photograph();
  const Network once = adjust_network(input_);
  for (int i = 0; i < 3; ++i) {
    input_.photos.push_back(input_.photos[static_cast<std::size_t>(4 * i)]);
    input_.photos.back().photo = "sent" + std::to_string(i) + ".jpg";
  }
  const Network network = adjust_network(input_);
  ASSERT_EQ(network.warnings.size(), 1u);
  EXPECT_EQ(network.warnings[0],
            "The same picture under another name, counted once: sent0.jpg, sent1.jpg, sent2.jpg.");
  EXPECT_EQ(network.stations.back().why_not, "the same picture as photo8.jpg");
  EXPECT_FALSE(network.stations.back().used);
  EXPECT_EQ(network.observations, once.observations);
}

}  // namespace
}  // namespace pivotfix
