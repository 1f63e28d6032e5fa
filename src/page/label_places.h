// SPDX-License-Identifier: Apache-2.0
// Where a picture's labels can stand so that no line runs through them.
#pragma once

#include <Eigen/Core>
#include <string>
#include <utility>
#include <vector>

#include "page/svg.h"

namespace pivotfix::report {

// In view-box units; `at` is on the text's base line.
struct LabelPlace {
  Eigen::Vector2d at = Eigen::Vector2d::Zero();
  Anchor anchor = Anchor::middle;
};

// Above, below, left and right of the line, first near its middle, then towards its ends.
std::vector<LabelPlace> beside(const Eigen::Vector2d& from, const Eigen::Vector2d& to);

// On either side of a point, on its height, above and below it, then further off.
std::vector<LabelPlace> around(const Eigen::Vector2d& point);

class LabelPlaces {
 public:
  LabelPlaces(double picture_width, double picture_height) : width_(picture_width), height_(picture_height) {}

  // What labels shall keep clear of.
  void avoid(const Eigen::Vector2d& from, const Eigen::Vector2d& to) { lines_.emplace_back(from, to); }
  void avoid_around(const Eigen::Vector2d& point);

  // The wish that least runs through, the earlier one when equal; later labels keep clear of it, too.
  LabelPlace best(const std::vector<LabelPlace>& wishes, const std::string& text);

 private:
  Box box_of(const LabelPlace& place, const std::string& text) const;
  double trouble(const Box& box) const;

  double width_;
  double height_;
  std::vector<std::pair<Eigen::Vector2d, Eigen::Vector2d>> lines_{};
  std::vector<Box> taken_{};
};

}  // namespace pivotfix::report
