// SPDX-License-Identifier: Apache-2.0
// Made-up photos of made-up tags with known truth. Projects by its own few lines, not by the program's. Draws
// stand in braces, which every compiler takes in the same order.
#pragma once

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "network/network.h"

namespace pivotfix::simulation {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double side_mm = 50.0;  // of every tag, as it should be printed

struct Wishes {
  unsigned seed = 1;
  int photos = 24;
  int tags = 24;
  double edge_noise_px = 0.06;      // of one edge point
  double outward_px = 0.4;          // all edges, varying by half of it from photo to photo
  double principal_shift_px = 0.0;  // stabiliser, standard deviation per photo
  double focal_change = 0.0;        // autofocus, relative standard deviation per photo
  double turn_rad = 0.0;            // about each axis while the rows are read, standard deviation per photo
  double step_mm = 0.0;             // along each axis meanwhile
  double printed_scale = 1.0;       // what the printer made of the tags' sides
  int peeling_tag = -1;             // one corner of it stands off
  double peeled_mm = 0.0;           // by so much
  int bent_tag = -1;                // stuck on a tube
  double bent_radius_mm = 0.0;      // of that
};

struct Truth {
  std::vector<RigidTransform> world_from_tag{};
  double focal_px = 2480, cx = 1640.5, cy = 1211.0;
  double k1 = 0.06, k2 = -0.12, k3 = 0.05, p1 = 0.0008, p2 = -0.0006;
  int width = 3264, height = 2448;
};

struct Photographed {
  Truth truth{};
  NetworkInput input{};
};

struct Camera {
  Eigen::Matrix3d camera_from_world;
  Vector3d place_mm;
  double focal_px, cx, cy;
  Vector3d turn_rad{0, 0, 0}, step_mm{0, 0, 0};  // of the camera, from the first row to the last
};

// Brown's distortion, written out anew.
inline Vector2d picture_at_once(const Truth& lens, const Camera& camera, const Vector3d& seen) {
  const double u = seen[0] / seen[2], v = seen[1] / seen[2];
  const double rho = u * u + v * v;
  const double stretch = 1 + lens.k1 * rho + lens.k2 * std::pow(rho, 2) + lens.k3 * std::pow(rho, 3);
  const double du = 2 * lens.p1 * u * v + lens.p2 * (rho + 2 * u * u);
  const double dv = lens.p1 * (rho + 2 * v * v) + 2 * lens.p2 * u * v;
  return {camera.focal_px * (u * stretch + du) + camera.cx, camera.focal_px * (v * stretch + dv) + camera.cy};
}

// Rows are read one after the other while the camera moves on at constant speed.
inline Vector2d picture_of(const Truth& lens, const Camera& camera, const Vector3d& world_mm) {
  const Vector3d seen = camera.camera_from_world * (world_mm - camera.place_mm);
  Vector2d picture = picture_at_once(lens, camera, seen);
  if (camera.turn_rad.isZero() && camera.step_mm.isZero()) return picture;
  for (int round = 0; round < 6; ++round) {
    const double time = (picture.y() - camera.cy) / lens.height;
    const double angle_rad = -time * camera.turn_rad.norm();
    const Vector3d turned = Eigen::AngleAxisd(angle_rad, camera.turn_rad.normalized()) * seen;
    picture = picture_at_once(lens, camera, turned - time * camera.step_mm);
  }
  return picture;
}

inline Camera look_at(const Truth& lens, const Vector3d& place_mm, const Vector3d& aim_mm, double roll_rad) {
  const Vector3d forward = (aim_mm - place_mm).normalized();
  const Vector3d right = forward.cross(Vector3d::UnitZ()).normalized();
  const Vector3d down = forward.cross(right);
  Camera camera;
  const double c = std::cos(roll_rad), s = std::sin(roll_rad);
  camera.camera_from_world.row(0) = (c * right + s * down).transpose();
  camera.camera_from_world.row(1) = (-s * right + c * down).transpose();
  camera.camera_from_world.row(2) = forward.transpose();
  camera.place_mm = place_mm;
  camera.focal_px = lens.focal_px;
  camera.cx = lens.cx;
  camera.cy = lens.cy;
  return camera;
}

// Tag 0..3 lie on the floor, the rest face outwards (towards +y and up) at random in a corner of a car.
inline RigidTransform random_tag(std::mt19937& random, int number) {
  std::uniform_real_distribution<double> even(-1.0, 1.0);
  if (number < 4) {
    const Eigen::Quaterniond turn(Eigen::AngleAxisd(even(random) * 3, Vector3d::UnitZ()));
    return {turn, {number % 2 ? 350.0 : -350.0, number / 2 ? 450.0 : 150.0, 0.0}};
  }
  const Vector3d normal = Vector3d{0.6 * even(random), 1.0, 0.5 * even(random)}.normalized();
  const Eigen::Quaterniond face = Eigen::Quaterniond::FromTwoVectors(Vector3d::UnitZ(), normal);
  const Eigen::Quaterniond spin(Eigen::AngleAxisd(even(random) * 3, Vector3d::UnitZ()));
  return {face * spin, {450 * even(random), 150 * even(random), 350 + 300 * even(random)}};
}

// What one camera sees of tags 0, 1, 2 ... at these places.
inline PhotoSightings photo_of(const Truth& truth, const Camera& camera,
                               const std::vector<RigidTransform>& world_from_tags, const Wishes& wishes,
                               double outward_px, std::mt19937& random) {
  std::normal_distribution<double> normal(0.0, 1.0);
  const std::array<Vector3d, 4> flat_corner = tag_corners_mm(side_mm * wishes.printed_scale);
  PhotoSightings photo;
  photo.camera = {"Halm", "Pocket 3", "", 5.6, 26.0, 1.0, truth.width, truth.height};
  for (std::size_t tag = 0; tag < world_from_tags.size(); ++tag) {
    const RigidTransform& world_from_tag = world_from_tags[tag];
    const Vector3d face = world_from_tag.rotation * Vector3d::UnitZ();
    const Vector3d towards = (camera.place_mm - world_from_tag.translation_mm).normalized();
    if (face.dot(towards) < std::cos(65 * M_PI / 180)) continue;
    auto corner = flat_corner;
    if (static_cast<int>(tag) == wishes.peeling_tag) corner[2].z() = wishes.peeled_mm;
    const bool is_bent = static_cast<int>(tag) == wishes.bent_tag;
    const auto on_paper = [&](Vector3d place_mm) {
      if (is_bent) place_mm.z() -= place_mm.x() * place_mm.x() / (2 * wishes.bent_radius_mm);
      return Vector3d(world_from_tag * place_mm);
    };
    Sighting sighting;
    sighting.tag_number = static_cast<int>(tag);
    bool inside = true;
    for (int k = 0; k < 4; ++k) {
      sighting.corner_px[k] = picture_of(truth, camera, on_paper(corner[k]));
      inside = inside && sighting.corner_px[k].x() > 20 && sighting.corner_px[k].x() < truth.width - 20 &&
               sighting.corner_px[k].y() > 20 && sighting.corner_px[k].y() < truth.height - 20;
    }
    if (!inside) continue;
    sighting.centre_px = picture_of(truth, camera, world_from_tag.translation_mm);
    sighting.edge_noise_px = wishes.edge_noise_px;
    for (int edge = 0; edge < 4; ++edge) {
      const Vector2d along = (sighting.corner_px[(edge + 1) % 4] - sighting.corner_px[edge]).normalized();
      Vector2d outwards(-along.y(), along.x());
      if (outwards.dot(sighting.corner_px[edge] - sighting.centre_px) < 0) outwards = -outwards;
      for (int point = 0; point < 20; ++point) {
        const double t = 0.1 + 0.8 * point / 19.0;
        const Vector3d on_tag = (1 - t) * corner[edge] + t * corner[(edge + 1) % 4];
        sighting.edge_points[edge].push_back(
            {picture_of(truth, camera, on_paper(on_tag)) +
             outwards * (outward_px + wishes.edge_noise_px * normal(random))});
      }
    }
    photo.sightings.push_back(sighting);
  }
  return photo;
}

// Photos of tags whose places are known.
inline Photographed photograph(const Truth& truth, const Wishes& wishes, std::mt19937& random) {
  std::normal_distribution<double> normal(0.0, 1.0);
  std::uniform_real_distribution<double> even(-1.0, 1.0);
  Photographed result{truth, {}};
  result.input.printed_side_mm = side_mm;
  for (int i = 0; i < wishes.photos; ++i) {
    const double azimuth = (i + 0.5) / wishes.photos * 2.2 - 1.1;  // about straight outwards
    const double distance_mm = 1150 + 200 * even(random);
    const Vector3d place(distance_mm * std::sin(azimuth), distance_mm * std::cos(azimuth),
                         450 + 300 * std::sin(2.4 * i));
    Camera camera =
        look_at(truth, place, {60 * even(random), 0, 300 + 60 * even(random)}, (i % 2) * M_PI / 2);
    camera.cx += wishes.principal_shift_px * normal(random);
    camera.cy += wishes.principal_shift_px * normal(random);
    camera.focal_px *= 1 + wishes.focal_change * normal(random);
    if (wishes.turn_rad > 0 || wishes.step_mm > 0)
      for (int k = 0; k < 3; ++k) {
        camera.turn_rad[k] = wishes.turn_rad * normal(random);
        camera.step_mm[k] = wishes.step_mm * normal(random);
      }
    const double outward_px = wishes.outward_px * (1 + 0.5 * even(random));
    PhotoSightings photo = photo_of(truth, camera, truth.world_from_tag, wishes, outward_px, random);
    photo.photo = "photo" + std::to_string(i) + ".jpg";
    result.input.photos.push_back(photo);
  }
  const auto measured = [&](int a, int b) {
    constexpr double sigma_mm = 0.005;
    const double true_mm =
        (truth.world_from_tag[a].translation_mm - truth.world_from_tag[b].translation_mm).norm();
    return ScaleBar{a, b, true_mm + sigma_mm * normal(random), sigma_mm};
  };
  result.input.scale_bars = {measured(4, 5), measured(6, 7)};
  return result;
}

// Photos of tags that stick at random.
inline Photographed photograph(const Wishes& wishes) {
  std::mt19937 random(wishes.seed);
  Truth truth;
  for (int i = 0; i < wishes.tags; ++i) truth.world_from_tag.push_back(random_tag(random, i));
  return photograph(truth, wishes, random);
}

}  // namespace pivotfix::simulation
