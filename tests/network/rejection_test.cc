// SPDX-License-Identifier: Apache-2.0
// What happens to a network when photos are wrong as a whole, fall into groups, or were made by a lens that
// no polynomial follows: simulated photos with known truth.
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>

#include "base/keep_larger.h"
#include "base/problem.h"
#include "network/photo_shifts.h"
#include "network/pieces.h"
#include "simulated_lens_file.h"
#include "simulated_photos.h"

namespace pivotfix {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using simulation::photograph;
using simulation::Photographed;
using simulation::Wishes;

void move_picture(Sighting& sighting, const std::function<Vector2d(const Vector2d&)>& moved) {
  for (Vector2d& corner : sighting.corner_px) corner = moved(corner);
  sighting.centre_px = moved(sighting.centre_px);
  for (auto& edge : sighting.edge_points)
    for (EdgePoint& point : edge) point.point_px = moved(point.point_px);
}

struct Centres {
  double rms_mm = 0.0, worst_mm = 0.0;
};

// After the best rigid fit.
Centres miss_of_centres(const Network& network, const simulation::Truth& truth) {
  const auto count = static_cast<Eigen::Index>(network.tags.size());
  Eigen::MatrixXd found(3, count), true_mm(3, count);
  for (Eigen::Index i = 0; i < count; ++i) {
    found.col(i) = network.tags[i].network_from_tag.translation_mm;
    true_mm.col(i) = truth.world_from_tag[network.tags[i].number].translation_mm;
  }
  const Eigen::Matrix4d world_from_network = Eigen::umeyama(found, true_mm, false);
  Centres miss;
  for (Eigen::Index i = 0; i < count; ++i) {
    const double off_mm =
        ((world_from_network * found.col(i).homogeneous()).head<3>() - true_mm.col(i)).norm();
    miss.rms_mm += off_mm * off_mm / static_cast<double>(count);
    keep_larger(miss.worst_mm, off_mm);
  }
  miss.rms_mm = std::sqrt(miss.rms_mm);
  return miss;
}

std::string all_warnings(const Network& network) {
  std::string all;
  for (const std::string& warning : network.warnings) all += warning + "\n";
  return all;
}

// --- photos that are wrong as a whole ---

class BadPhotos : public testing::TestWithParam<int> {
 protected:
  static std::size_t place(int bad) { return static_cast<std::size_t>(3 * bad + 2); }

  void expect_only_bad_ones_left_out(const Network& network, const Photographed& photographed) {
    std::size_t wrong = 0;
    std::string names;
    for (int bad = 0; bad < GetParam(); ++bad) {
      const Station& station = network.stations[place(bad)];
      EXPECT_FALSE(station.used) << station.photo;
      EXPECT_EQ(station.why_not, "as a whole it does not fit the other photos");
      wrong += photographed.input.photos[place(bad)].sightings.size();
      names += (names.empty() ? "" : ", ") + station.photo;
    }
    EXPECT_LE(network.rejected.size(), wrong + 2);
    EXPECT_EQ(network.tags.size(), photographed.truth.world_from_tag.size());
    const Centres miss = miss_of_centres(network, photographed.truth);
    EXPECT_LT(miss.rms_mm, 0.012);
    EXPECT_LT(miss.worst_mm, 0.04);
    ASSERT_EQ(network.warnings.size(), 1u) << all_warnings(network);
    EXPECT_NE(network.warnings[0].find("in the other photos: " + names), std::string::npos)
        << network.warnings[0];
  }
};
INSTANTIATE_TEST_SUITE_P(OfTwentyFour, BadPhotos, testing::Values(1, 4));

TEST_P(BadPhotos, WhoseTagsAreScatteredCostNoGoodSightings) {
  Photographed photographed = photograph(Wishes{});
  std::mt19937 random(5);
  std::normal_distribution<double> two_px(0.0, 2.0);
  for (int bad = 0; bad < GetParam(); ++bad)
    for (Sighting& sighting : photographed.input.photos[place(bad)].sightings) {
      const Vector2d by{two_px(random), two_px(random)};
      move_picture(sighting, [&](const Vector2d& p) -> Vector2d { return p + by; });
    }
  expect_only_bad_ones_left_out(adjust_network(photographed.input), photographed);
}

// Ten of the tags stand 20 to 35 mm higher in them.
TEST_P(BadPhotos, OfAnotherHeightCostNoGoodSightings) {
  Photographed photographed = photograph(Wishes{});
  simulation::Truth raised = photographed.truth;
  for (int tag = 14; tag < 24; ++tag) raised.world_from_tag[tag].translation_mm.z() += 6.0 + tag;
  std::mt19937 random(8);
  const Photographed other = photograph(raised, Wishes{}, random);
  for (int bad = 0; bad < GetParam(); ++bad)
    photographed.input.photos[place(bad)].sightings = other.input.photos[place(bad)].sightings;
  expect_only_bad_ones_left_out(adjust_network(photographed.input), photographed);
}

// --- groups of tags ---

// Photos 0, 2, 4 ... show the first tags and the even ones, the others the rest; of both groups, `links`
// photos of the first show one tag of the second.
Photographed two_groups(unsigned seed, int links) {
  Wishes wishes;
  wishes.seed = seed;
  Photographed photographed = photograph(wishes);
  std::map<int, int> seen;
  for (const PhotoSightings& photo : photographed.input.photos)
    for (const Sighting& sighting : photo.sightings)
      if (sighting.tag_number > 8 && sighting.tag_number % 2 == 1) ++seen[sighting.tag_number];
  const int link = std::max_element(seen.begin(), seen.end(), [](const auto& a, const auto& b) {
                     return a.second < b.second;
                   })->first;
  for (std::size_t i = 0; i < photographed.input.photos.size(); ++i) {
    const bool first_group = i % 2 == 0;
    std::erase_if(photographed.input.photos[i].sightings, [&](const Sighting& sighting) {
      if (first_group && sighting.tag_number == link) return --links < 0;
      return (sighting.tag_number < 8 || sighting.tag_number % 2 == 0) != first_group;
    });
  }
  return photographed;
}

// Of a length between two tags, in its own standard deviations.
double worst_miss_of_lengths(const Network& network, const simulation::Truth& truth) {
  double worst = 0.0;
  for (std::size_t a = 0; a < network.tags.size(); ++a)
    for (std::size_t b = 0; b < a; ++b) {
      const auto block = [&](std::size_t i, std::size_t k) {
        return network.tag_covariance.block<3, 3>(6 * i, 6 * k);
      };
      const Vector3d apart_mm =
          network.tags[a].network_from_tag.translation_mm - network.tags[b].network_from_tag.translation_mm;
      const Vector3d along = apart_mm.normalized();
      const Eigen::Matrix3d spread = block(a, a) + block(b, b) - block(a, b) - block(b, a);
      const double true_mm = (truth.world_from_tag[network.tags[a].number].translation_mm -
                              truth.world_from_tag[network.tags[b].number].translation_mm)
                                 .norm();
      keep_larger(worst, std::abs(apart_mm.norm() - true_mm) / std::sqrt(along.dot(spread * along)));
    }
  return worst;
}

// Why not; empty where it was adjusted.
std::string adjusted_or_refused(const NetworkInput& input, Network& network) {
  try {
    network = adjust_network(input);
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::refused);
    return problem.what_happened();
  }
  return "";
}

constexpr const char* in_groups = "The photos fall into groups that nothing holds together: tags ";

// Where the one sighting does not fit well enough it ties nothing.
TEST(TwoGroups, ThatOneSightingTiesAreRightWithAWarningOrRefused) {
  constexpr unsigned seeds = 8;
  unsigned warned = 0;
  for (unsigned seed = 1; seed <= seeds; ++seed) {
    const Photographed photographed = two_groups(seed, 1);
    Network network;
    if (const std::string why = adjusted_or_refused(photographed.input, network); !why.empty()) {
      EXPECT_TRUE(why.starts_with(in_groups)) << why;
      continue;
    }
    EXPECT_EQ(network.tags.size(), 24u);
    // 276 lengths, few of them independent: beyond 4.9 once in a million.
    EXPECT_LT(worst_miss_of_lengths(network, photographed.truth), 4.9) << "seed " << seed;
    EXPECT_NE(all_warnings(network).find("alone ties tags"), std::string::npos) << all_warnings(network);
    ++warned;
  }
  EXPECT_GE(warned, 3u);  // five here
  EXPECT_LT(warned, seeds);
}

// Without strips, of which one may be refused before for the group that its tag is in.
TEST(TwoGroups, ThatNothingTiesAreRefused) {
  for (unsigned seed = 1; seed <= 3; ++seed) {
    Photographed photographed = two_groups(seed, 0);
    photographed.input.scale_bars.clear();
    Network network;
    const std::string why = adjusted_or_refused(photographed.input, network);
    EXPECT_TRUE(why.starts_with(in_groups)) << "seed " << seed << ": " << why;
  }
}

TEST(Pieces, AreCountedWithAndWithoutThePhotoThatTiesThem) {
  Bundle bundle;
  bundle.stations.resize(5);
  bundle.targets.resize(6);
  const auto show = [&](int station, std::initializer_list<int> targets) {
    for (const int target : targets) {
      bundle.observations.emplace_back();
      bundle.observations.back().station = station;
      bundle.observations.back().target = target;
    }
  };
  show(0, {0, 1, 2});
  show(1, {0, 1, 2, 3});
  show(2, {3, 4});
  show(3, {3, 4});
  show(4, {0, 1, 2});
  const Pieces tied = pieces_of(bundle);
  EXPECT_EQ(tied.sightings, std::vector<int>{14});
  EXPECT_EQ(tied.of_target, (std::vector<int>{0, 0, 0, 0, 0, -1}));
  const auto ties = single_ties(bundle);
  ASSERT_EQ(ties.size(), 1u);
  EXPECT_EQ(ties[0].station, 1);
  EXPECT_EQ(ties[0].targets, (std::vector<int>{3, 4}));
  bundle.observations[6].rejected = true;  // tag 3 in photo 1
  const Pieces apart = pieces_of(bundle);
  EXPECT_EQ(apart.sightings, (std::vector<int>{9, 4}));
  EXPECT_EQ(apart.of_station, (std::vector<int>{0, 0, 1, 1, 0}));
  EXPECT_TRUE(single_ties(bundle).empty());
}

TEST(Covariance, SaysWhereTwoGroupsHaveNoPlaceToEachOther) {
  const Photographed photographed = photograph(Wishes{});  // the bundle looks at its sightings
  StartedBundle started = start_bundle(photographed.input);
  started.bundle.shift_sigma = first_shift_sigma;
  weigh_observations(started, 1.0);
  EXPECT_TRUE(covariance(started.bundle).determined);
  for (BundleObservation& observation : started.bundle.observations)
    if (observation.station % 2 != observation.target % 2) observation.rejected = true;
  ASSERT_EQ(pieces_of(started.bundle).sightings.size(), 2u);
  EXPECT_FALSE(covariance(started.bundle).determined);
}

// --- lenses ---

// Where nothing else tells how the lens bends, at the very edge, no tag is to blame for what it does there.
bool blames_no_tag(const Network& network) {
  return std::none_of(network.warnings.begin(), network.warnings.end(), [](const std::string& warning) {
    return warning.starts_with("Tag ") &&
           warning.find("at the very edge of the picture") == std::string::npos;
  });
}

// A lens that rises and falls towards the edge, as no polynomial of three terms does.
class RippledLens : public testing::TestWithParam<unsigned> {};
INSTANTIATE_TEST_SUITE_P(BySeed, RippledLens, testing::Values(1U, 3U, 19U, 41U, 54U));

TEST_P(RippledLens, IsNoFaultOfTags) {
  constexpr double ripple_px = 0.1;
  Wishes wishes;
  wishes.seed = GetParam();
  Photographed photographed = photograph(wishes);
  const Vector2d middle_px(photographed.truth.cx, photographed.truth.cy);
  for (PhotoSightings& photo : photographed.input.photos)
    for (Sighting& sighting : photo.sightings)
      move_picture(sighting, [&](const Vector2d& p) -> Vector2d {
        const Vector2d off = p - middle_px;
        const double r = off.norm() / photographed.truth.focal_px;
        return p + off.normalized() * ripple_px * std::sin(2.0 * M_PI * r / 0.4);
      });
  const Network network = adjust_network(photographed.input);
  EXPECT_TRUE(blames_no_tag(network)) << all_warnings(network);
  EXPECT_EQ(network.tags.size(), 24u);
  EXPECT_LE(network.rejected.size(), 3u);
  EXPECT_LT(miss_of_centres(network, photographed.truth).rms_mm, 0.1);  // a tenth of a pixel is 0.05 mm
}

// As a phone's own correction of its lens leaves it.
TEST_P(RippledLens, OrPicturesThatAreWarpedEvenlyAreNamedAndNoTagBlamed) {
  constexpr double warp_px = 0.6;
  Wishes wishes;
  wishes.seed = GetParam();
  Photographed photographed = photograph(wishes);
  for (PhotoSightings& photo : photographed.input.photos)
    for (Sighting& sighting : photo.sightings)
      move_picture(sighting, [&](const Vector2d& p) -> Vector2d {
        const Vector2d at = 0.004 * p;
        return p + warp_px * Vector2d(std::sin(at.x() + 0.5) * std::cos(0.8 * at.y()),
                                      std::cos(0.9 * at.x()) * std::sin(at.y() + 1.0));
      });
  const Network network = adjust_network(photographed.input);
  EXPECT_TRUE(blames_no_tag(network)) << all_warnings(network);
  EXPECT_NE(all_warnings(network).find("times worse than their edges are sharp"), std::string::npos)
      << all_warnings(network);
}

TEST(KnownLens, WithOneTagReadElsewhereInAPhotoLeavesThePhotoUnzoomed) {
  Photographed photographed = photograph(Wishes{});
  auto& sightings = photographed.input.photos[7].sightings;
  sightings.resize(8);
  move_picture(sightings[2], [](const Vector2d& p) -> Vector2d { return p + Vector2d(150.0, 60.0); });
  photographed.input.known_lenses = {true_lens(photographed)};
  const Network network = adjust_network(photographed.input);
  EXPECT_EQ(network.lenses.size(), 1u);
  EXPECT_TRUE(network.stations[7].used);
  EXPECT_EQ(network.rejected.size(), 1u);
  EXPECT_EQ(all_warnings(network), "");
}

Photographed zoomed_by(double factor, simulation::Truth truth) {
  truth.focal_px *= factor;
  std::mt19937 random(11);
  return photograph(truth, Wishes{}, random);
}

// The pictures say nothing of it.
TEST(ZoomedPhotos, AreFoundWhereTheyAreHalfOfAll) {
  Photographed photographed = photograph(Wishes{});
  const Photographed zoomed = zoomed_by(1.8, photographed.truth);
  for (std::size_t i = 1; i < photographed.input.photos.size(); i += 2)
    photographed.input.photos[i].sightings = zoomed.input.photos[i].sightings;
  const Network network = adjust_network(photographed.input);
  EXPECT_GE(network.lenses.size(), 2u) << all_warnings(network);
  EXPECT_NE(all_warnings(network).find("Zoomed or cropped"), std::string::npos) << all_warnings(network);
  EXPECT_LT(miss_of_centres(network, photographed.truth).rms_mm, 0.2);
}

// Two cameras, each with photos zoomed by the same factor: four lenses, not three.
TEST(ZoomedPhotos, OfTwoCamerasShareNoLens) {
  Photographed photographed = photograph(Wishes{});
  const Photographed zoomed = zoomed_by(1.8, photographed.truth);
  for (std::size_t i = 0; i < photographed.input.photos.size(); ++i) {
    if (i % 6 == 1 || i % 6 == 4) photographed.input.photos[i].sightings = zoomed.input.photos[i].sightings;
    if (i % 2 == 1) photographed.input.photos[i].camera.make = "Brook";
  }
  EXPECT_EQ(adjust_network(photographed.input).lenses.size(), 4u);
}

// --- scale strips, few photos ---

TEST(ScaleStrips, AStripThatIsInNoPhotoIsLeftOutWhereAnotherRemains) {
  Photographed photographed = photograph(Wishes{});
  photographed.input.scale_bars.insert(photographed.input.scale_bars.begin(), {40, 41, 250.0, 0.1});
  const Network network = adjust_network(photographed.input);
  ASSERT_EQ(network.scale_bars.size(), 2u);
  EXPECT_EQ(network.scale_bars[0].bar.from_tag, 4);
  EXPECT_NE(all_warnings(network).find("Scale strip 40-41 was left out"), std::string::npos)
      << all_warnings(network);
  EXPECT_LT(miss_of_centres(network, photographed.truth).rms_mm, 0.012);
}

// Squared errors of lengths over their stated variances.
double normalised_square_of_lengths(const Network& network, const simulation::Truth& truth) {
  double squares = 0.0;
  int count = 0;
  for (std::size_t a = 4; a < network.tags.size(); a += 3)
    for (std::size_t b = a + 1; b < network.tags.size(); b += 4) {
      const auto block = [&](std::size_t i, std::size_t k) {
        return network.tag_covariance.block<3, 3>(6 * i, 6 * k);
      };
      const Eigen::Matrix3d spread = block(a, a) + block(b, b) - block(a, b) - block(b, a);
      const Vector3d apart_mm =
          network.tags[b].network_from_tag.translation_mm - network.tags[a].network_from_tag.translation_mm;
      const Vector3d true_apart_mm = truth.world_from_tag[network.tags[b].number].translation_mm -
                                     truth.world_from_tag[network.tags[a].number].translation_mm;
      const Vector3d along = apart_mm.normalized();
      squares += std::pow(apart_mm.norm() - true_apart_mm.norm(), 2) / along.dot(spread * along);
      ++count;
    }
  return squares / count;
}

class FewPhotos : public testing::TestWithParam<int> {};
INSTANTIATE_TEST_SUITE_P(ByCount, FewPhotos, testing::Values(6, 7));

TEST_P(FewPhotos, StateAWiderUncertaintyAndSaySo) {
  constexpr unsigned seeds = 20;
  double squares = 0.0;
  for (unsigned seed = 1; seed <= seeds; ++seed) {
    Wishes wishes;
    wishes.seed = seed;
    wishes.photos = GetParam();
    wishes.principal_shift_px = 2.0;
    wishes.focal_change = 0.001;
    const Photographed photographed = photograph(wishes);
    const Network network = adjust_network(photographed.input);
    squares += normalised_square_of_lengths(network, photographed.truth) / seeds;
    EXPECT_NE(all_warnings(network).find("photos take part, too few to check each other"), std::string::npos)
        << all_warnings(network);
  }
  EXPECT_GT(squares, 0.4);
  EXPECT_LT(squares, 1.5);
}

}  // namespace
}  // namespace pivotfix
