// SPDX-License-Identifier: Apache-2.0
// A corner whose tags are known exactly, to try ways to its pivots and axes without any photo.
#pragma once

#include <Eigen/Geometry>
#include <algorithm>
#include <string>
#include <vector>

#include "locate/locate_hardpoints.h"
#include "locate/refusals.h"

namespace pivotfix {

inline const RigidTransform network_from_car{Eigen::Quaterniond(0.4, -0.5, 0.3, 0.7).normalized(),
                                             {120, -340, 900}};

// An invented left corner; every pivot 25 mm behind its own tag.
struct Scene {
  Network network{};
  HardpointQuestion question{};
  std::vector<Eigen::Vector3d> pivots{{120, 390, 210}, {-180, 380, 215}, {5, 700, 190},    {-30, 580, 810},
                                      {-10, 640, 450}, {-130, 330, 260}, {-135, 690, 240}, {0, 742, 300}};

  Scene() {
    const auto& names = hardpoint_names(Layout::strut);
    for (const Eigen::Vector3d& place :
         {Eigen::Vector3d(400, 900, 0), Eigen::Vector3d(-400, 950, 0), Eigen::Vector3d(-30, 500, 0)})
      add(static_cast<int>(network.tags.size()) + 1, place, Eigen::Vector3d::UnitZ());
    for (std::size_t i = 0; i < names.size(); ++i) {
      const Eigen::Vector3d normal =
          Eigen::Vector3d(0.2 * static_cast<double>(i) - 0.7, 1.0, 0.3).normalized();
      add(10 + static_cast<int>(i), pivots[i] + 25.0 * normal, normal);
      question.hardpoints.push_back({names[i], TagOffset{10 + static_cast<int>(i), {0, 0, -25.0}, 0.0}});
    }
    question.axes.floor_tags = {1, 2, 3};
    question.axes.half_track_mm = 742.0;
  }

  void add(int number, const Eigen::Vector3d& place, const Eigen::Vector3d& normal) {
    add(number, RigidTransform{Eigen::Quaterniond::FromTwoVectors(Eigen::Vector3d::UnitZ(), normal), place});
  }
  void add(int number, const RigidTransform& car_from_tag) {
    network.tags.push_back({number, network_from_car * car_from_tag, 40.0, 5, 1.0, 0.02});
    std::sort(network.tags.begin(), network.tags.end(),
              [](const TagInSpace& a, const TagInSpace& b) { return a.number < b.number; });
    const auto width = static_cast<Eigen::Index>(6 * network.tags.size());
    network.tag_covariance = 1e-12 * Eigen::MatrixXd::Identity(width, width);
  }

  void remove(int number) {
    std::erase_if(network.tags, [&](const TagInSpace& tag) { return tag.number == number; });
    const auto width = static_cast<Eigen::Index>(6 * network.tags.size());
    network.tag_covariance = 1e-12 * Eigen::MatrixXd::Identity(width, width);
  }

  Located located() const { return locate(network, question); }
  double worst_miss_mm() const {
    const HardpointSet found = located().hardpoints;
    double worst = 0.0;
    for (std::size_t i = 0; i < pivots.size(); ++i)
      worst = std::max(worst, (found.points[i].position_vehicle_mm - pivots[i]).norm());
    return worst;
  }
};

inline void expect_refusal(const Scene& scene, const std::string& sentence) {
  expect_refusal([&] { scene.located(); }, sentence);
}

// Tags on a string that sags: as high as they hang, one after the other.
inline Scene with_string(double bulge_mm) {
  Scene scene;
  scene.add(5, {-700, 1000, 200}, Eigen::Vector3d::UnitY());
  scene.add(6, {0, 1000 + bulge_mm, 180}, Eigen::Vector3d::UnitY());
  scene.add(7, {700, 1000, 200}, Eigen::Vector3d::UnitY());
  scene.question.axes.forward_from = 5;
  scene.question.axes.forward_to = 7;
  scene.question.axes.forward_between = {6};
  return scene;
}

}  // namespace pivotfix
