// SPDX-License-Identifier: Apache-2.0
// Tags of one part held rigid to each other through all heights. Simbody moves the parts; no tag is seen by
// any camera here.
#include "locate/rigid_bodies.h"

#include <gtest/gtest.h>

#include <cmath>

#include "locate/moving_corner.h"
#include "locate/traced_network.h"

namespace pivotfix {
namespace {

using Eigen::MatrixXd;
using Eigen::Vector3d;

constexpr TagNoise exact{};
constexpr TagNoise usual{0.015, 0.0004};

const MovingCorner& strut() {
  static const MovingCorner corner = moving_corner(Layout::strut);
  return corner;
}

TEST(WithRigidBodies, LeavesAChiSquareThatItsFreedomExplains) {
  double square = 0.0, freedom = 0.0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const Network network = made_up_network(strut(), five_heights(), usual, seed);
    for (const BodyFit& fit : with_rigid_bodies(network, strut().bodies).fits) {
      EXPECT_FALSE(fit.doubtful) << fit.name;
      square += fit.chi_square;
      freedom += fit.freedom;
    }
  }
  EXPECT_GT(freedom, 20 * 100);
  EXPECT_NEAR(square / freedom, 1.0, 4.0 * std::sqrt(2.0 / freedom));
}

TEST(WithRigidBodies, NamesATagThatSlippedOnItsPart) {
  Network network = made_up_network(strut(), five_heights(), usual, 3);
  const int slipped = network.index_of_tag(46, "up 20");
  network.tags[slipped].network_from_tag.translation_mm.x() += 0.4;
  for (const BodyFit& fit : with_rigid_bodies(network, strut().bodies).fits) {
    EXPECT_EQ(fit.doubtful, fit.name == "lower_arm") << fit.name;
    if (fit.doubtful) {
      EXPECT_EQ(fit.worst_tag, 46);
    }
  }
}

// Oracle: the same network where the tag was never said to be on that part.
TEST(WithRigidBodies, LeavesATagThatSlippedOutOfItsPart) {
  Network network = made_up_network(strut(), five_heights(), usual, 3);
  for (const char* set : {"up 20", "up 40"})
    network.tags[network.index_of_tag(44, set)].network_from_tag.translation_mm.y() += 0.5;
  std::vector<Body> never_named = strut().bodies;
  for (Body& body : never_named) std::erase(body.tags, 44);
  const RigidNetwork found = with_rigid_bodies(network, strut().bodies);
  const RigidNetwork expected = with_rigid_bodies(network, never_named);
  for (std::size_t i = 0; i < never_named.size(); ++i) {
    EXPECT_EQ(found.bodies[i].tags, never_named[i].tags) << never_named[i].name;
    EXPECT_EQ(found.fits[i].slipped_tag, never_named[i].name == "lower_arm" ? 44 : -1);
  }
  ASSERT_EQ(found.network.tags.size(), expected.network.tags.size());
  for (std::size_t i = 0; i < expected.network.tags.size(); ++i)
    EXPECT_LT((found.network.tags[i].network_from_tag.translation_mm -
               expected.network.tags[i].network_from_tag.translation_mm)
                  .norm(),
              1e-9);
  EXPECT_LT((found.network.tag_covariance - expected.network.tag_covariance).cwiseAbs().maxCoeff(), 1e-12);
}

// Tags that all wander three times as far as the photos say: distances on the part, which the conditions
// average over the sets, must not be stated three times too sure.
TEST(WithRigidBodies, CountsTheTagsOfAPartThatDoesNotKeepItsShapeAsLessCertain) {
  constexpr TagNoise three_times{0.045, 0.0012};
  std::vector<Vector3d> places_mm;
  for (const CornerTag& tag : strut().tags)
    if (tag.number == 44 || tag.number == 47)
      places_mm.push_back(tag.vehicle_from_tag_at_ride.translation_mm);
  const double true_mm = (places_mm.at(0) - places_mm.at(1)).norm();
  double squares = 0.0;
  constexpr unsigned runs = 40;
  for (unsigned seed = 1; seed <= runs; ++seed) {
    Network network = made_up_network(strut(), five_heights(), three_times, seed);
    network.tag_covariance /= 9.0;
    const RigidNetwork rigid = with_rigid_bodies(network, {strut().body("lower_arm")});
    EXPECT_GT(rigid.fits.front().slack_mm, 0.02);
    const TracedNetwork traced(rigid.network, 0);
    const Traced apart = traced.centre(44, "ride", "a tag") - traced.centre(47, "ride", "a tag");
    const Eigen::RowVectorXd by_inputs = apart.value.normalized().transpose() * apart.by_inputs;
    squares += std::pow(apart.value.norm() - true_mm, 2) /
               (by_inputs * rigid.network.tag_covariance * by_inputs.transpose()).value();
  }
  EXPECT_GT(squares / runs, 0.5);
  EXPECT_LT(squares / runs, 1.8);
}

TEST(WithRigidBodies, PutsAHiddenTagWhereItsFellowsSay) {
  const MovingCorner& corner = strut();
  Network network = made_up_network(corner, five_heights(), exact, 1);
  const int hidden = network.index_of_tag(41, "up 40");
  const RigidTransform truth = network.tags[hidden].network_from_tag;
  network.tags.erase(network.tags.begin() + hidden);
  network.tag_covariance.conservativeResize(6 * network.tags.size(), 6 * network.tags.size());
  const RigidNetwork rigid = with_rigid_bodies(network, corner.bodies);
  const Network& whole = rigid.network;
  const int found = whole.index_of_tag(41, "up 40");
  ASSERT_GE(found, 0);
  EXPECT_LT((whole.tags[found].network_from_tag.translation_mm - truth.translation_mm).norm(), 1e-3);
}

// What asks which photos would help goes back to the tags that were seen, fewer than there are in the end.
TEST(WithRigidBodies, SaysHowItsTagsHangOnThoseThatWereSeen) {
  const MovingCorner& corner = strut();
  Network network = made_up_network(corner, five_heights(), usual, 1);
  network.tags.erase(network.tags.begin() + network.index_of_tag(41, "up 40"));
  network.tag_covariance.conservativeResize(6 * network.tags.size(), 6 * network.tags.size());
  const RigidNetwork rigid = with_rigid_bodies(network, corner.bodies);
  ASSERT_EQ(rigid.by_tags.cols(), 6 * static_cast<Eigen::Index>(network.tags.size()));
  ASSERT_EQ(rigid.by_tags.rows(), 6 * static_cast<Eigen::Index>(rigid.network.tags.size()));
  const MatrixXd carried = rigid.by_tags * network.tag_covariance * rigid.by_tags.transpose();
  const Eigen::VectorXd sigma = rigid.network.tag_covariance.diagonal().cwiseSqrt();
  const MatrixXd miss = sigma.cwiseInverse().asDiagonal() * (carried - rigid.network.tag_covariance) *
                        sigma.cwiseInverse().asDiagonal();
  EXPECT_LT(miss.cwiseAbs().maxCoeff(), 1e-5);
}

}  // namespace
}  // namespace pivotfix
