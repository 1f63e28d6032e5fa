// SPDX-License-Identifier: Apache-2.0
#include "bench/pointer_rows.h"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <cmath>

#include "bench/heights_photos.h"
#include "bench/pointer_scene.h"
#include "locate/pointer.h"

namespace pivotfix::bench {

namespace {

using Eigen::Quaterniond;
using Eigen::Vector3d;

constexpr double bar_mm = 0.1;
constexpr int photos_of_a_position = 4;
const Body pointer{"pointer", {20, 21, 22, 23}};
const Vector3d dent_mm{40.0, 60.0, 12.0};       // in a block on the floor
const Vector3d touched_mm{-60.0, 30.0, 180.0};  // a hidden bolt head

std::vector<render::PaperTag> ground() {
  std::vector<render::PaperTag> tags;
  for (int i = 0; i < 8; ++i) {
    const Vector3d place_mm(-330.0 + 220.0 * (i % 4), i < 4 ? 180.0 : -60.0, 0.0);
    tags.push_back({i, {Quaterniond(Eigen::AngleAxisd(0.3 * i, Vector3d::UnitZ())), place_mm}, 40.0});
  }
  return tags;
}

struct Position {
  std::string part;
  RigidTransform world_from_stick;
};

std::vector<Position> positions() {
  std::vector<Position> all;
  const std::array<std::array<double, 2>, 6> dents{
      {{0.0, 0.0}, {0.6, 0.1}, {-0.6, 0.1}, {0.1, 0.55}, {0.35, -0.45}, {-0.4, -0.4}}};
  for (const auto& lean : dents)
    all.push_back({"dent " + std::to_string(all.size() + 1), leaning(dent_mm, lean[0], lean[1])});
  const std::array<std::array<double, 2>, 3> touches{{{0.2, -0.2}, {-0.3, 0.1}, {0.1, 0.3}}};
  for (const auto& lean : touches)
    all.push_back({"touch " + std::to_string(all.size() - 5), leaning(touched_mm, lean[0], lean[1])});
  return all;
}

Network pointer_network(const std::filesystem::path& folder, std::vector<std::string>& dents,
                        std::vector<std::string>& touches) {
  std::vector<PhotoOrder> orders;
  NetworkInput input;
  input.restless_tags.insert(pointer.tags.begin(), pointer.tags.end());
  for (const Position& position : positions()) {
    (position.part.starts_with("dent") ? dents : touches).push_back("ride/" + position.part);
    for (int i = 0; i < photos_of_a_position; ++i) {
      PhotoOrder order{ground(), {}, static_cast<unsigned>(5000 + orders.size())};
      for (const render::PaperTag& tag : stick(pointer.tags, position.world_from_stick))
        order.tags.push_back(tag);
      const double azimuth = -0.7 + 1.4 * i / (photos_of_a_position - 1);
      order.shot = phone_at({750.0 * std::sin(azimuth), 750.0 * std::cos(azimuth), 430.0 + 90.0 * (i % 2)},
                            {0.0, 40.0, 130.0}, (i % 2) * M_PI / 2.0);
      orders.push_back(order);
      PhotoSightings photo;
      photo.photo = "pointer" + std::to_string(orders.size()) + ".jpg";
      photo.camera = phone();
      photo.set = "ride";
      photo.part = position.part;
      input.photos.push_back(photo);
    }
  }
  const auto sightings = photograph(orders, "pointer-", folder);
  for (std::size_t i = 0; i < sightings.size(); ++i) input.photos[i].sightings = sightings[i];
  input.scale_bars.push_back({0, 3, 660.0, 0.01});
  input.scale_bars.push_back({4, 7, 660.0, 0.01});
  return adjust_network(input);
}

// The world as the network's ground tags say.
RigidTransform network_from_world(const Network& network) {
  const auto tags = ground();
  Eigen::Matrix3Xd world(3, tags.size()), found(3, tags.size());
  for (std::size_t i = 0; i < tags.size(); ++i) {
    world.col(static_cast<Eigen::Index>(i)) = tags[i].world_from_tag.translation_mm;
    found.col(static_cast<Eigen::Index>(i)) =
        network.tags[network.index_of_tag(tags[i].number)].network_from_tag.translation_mm;
  }
  const Eigen::Matrix4d fit = Eigen::umeyama(world, found, false);
  return {Quaterniond(fit.topLeftCorner<3, 3>()), fit.topRightCorner<3, 1>()};
}

HeightsError row(const char* quantity, const Vector3d& miss, const Traced& point,
                 const TracedNetwork& traced) {
  const Eigen::Matrix3d spread =
      point.by_inputs * traced.network().tag_covariance * point.by_inputs.transpose();
  return {quantity, miss.norm(), bar_mm, "mm", miss.dot(spread.ldlt().solve(miss)), 3};
}

}  // namespace

std::vector<HeightsError> pointer_errors(const std::filesystem::path& folder) {
  std::vector<std::string> dents, touches;
  const RigidNetwork rigid = with_rigid_bodies(pointer_network(folder, dents, touches), {pointer});
  const TracedNetwork traced(rigid.network, 0);
  const PointerTip tip = find_tip(traced, pointer, dents);
  const Touched touched = touched_point(traced, pointer, tip, touches, "the bolt");
  // The tip in the stick's own axes, as its first tag carries them.
  const int first = pointer.tags.front();
  const Traced in_tag = traced.tag(first, tip.set, "the tip").inverse() * tip.tip;
  const RigidTransform stick_from_tag = stick(pointer.tags, {}).front().world_from_tag;
  const Vector3d true_in_tag = stick_from_tag.inverse() * Vector3d::Zero();
  // Distance from dent to touched point: no datum in it.
  const Traced out = touched.point - tip.tip;
  const RigidTransform world = network_from_world(rigid.network);
  const Vector3d true_out = world.rotation * (touched_mm - dent_mm);
  return {row("tip in the stick's axes", in_tag.value - true_in_tag, in_tag, traced),
          row("touched point from the dent", out.value - true_out, out, traced)};
}

}  // namespace pivotfix::bench
