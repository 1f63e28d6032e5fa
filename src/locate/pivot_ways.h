// SPDX-License-Identifier: Apache-2.0
// Each way from tags to a pivot, as a traced point in network axes; and what the parts' motion says of it.
// Private to the locate stage.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "locate/locate_hardpoints.h"
#include "locate/pointer.h"
#include "locate/shapes.h"
#include "locate/traced_network.h"

namespace pivotfix {

// "tag 11, 26.00 mm behind its face"
std::string in_words(const Way& way);
Eigen::Vector3d own_sigma_mm(const Way& way);  // of its own three inputs

// A point, or a line that the pivot lies on.
struct MotionPlace {
  Traced point{};
  std::optional<Traced> direction{};
  MotionCheck check{};
  Traced near{};  // middle of the moving part's tags: against it uncertainty is judged
  // Further covariance of point and direction: what no motion tells.
  Eigen::Matrix<double, 6, 6> open = Eigen::Matrix<double, 6, 6>::Zero();
  std::string remedy{};  // what makes a weak direction known

  // Of what no motion tells, at `along_mm` along the line.
  Eigen::Matrix3d open_at(double along_mm) const;
};

// A place by one of the ways.
struct OwnPlace {
  Traced point{};
  // Further covariance that the photos' noise does not explain: tags stuck off their circle, touches that
  // differ.
  Eigen::Matrix3d scatter_mm2 = Eigen::Matrix3d::Zero();
};

class PivotWays {
 public:
  // By which the axis of a tube is off: its low point (mm), and its direction.
  static constexpr Eigen::Index tube_inputs = 6;

  PivotWays(const TracedNetwork& network, const HardpointQuestion& question,
            const Eigen::MatrixXd& input_covariance, Eigen::Index first_tube_input)
      : network_(network),
        question_(question),
        covariance_(input_covariance),
        tube_input_(first_tube_input) {}

  // Not for ByHand, ByMotion and TagTube. The way's own three inputs start at `own_input`.
  OwnPlace pivot(const HardpointRecipe& recipe, Eigen::Index own_input);
  // Where the tube's tags say its axis is.
  TubeLine tube_axis(const HardpointRecipe& recipe, Eigen::Index own_input) const;
  // What motion says; `near_mm` is where other ways put the pivot.
  MotionPlace from_motion(const std::string& name, const std::optional<Eigen::Vector3d>& near_mm);

  // The part of that name, or none.
  const Body* body(const std::string& name) const;
  // The hub's own turning axis, when it was turned.
  std::optional<TurningAxis> spin_axis();

 private:
  const Body& require_body(const std::string& name, const std::string& needed_for) const;
  std::string reference_of(const Body& body) const;
  MotionPlace ball_joint(const std::string& name, const std::string& part, const std::string& other,
                         const std::optional<Eigen::Vector3d>& near_mm, bool on_rack);
  MotionPlace hinge(const std::string& name, const std::string& arm);
  OwnPlace on_ring(const TagRing& ring, const std::string& name) const;
  MotionPlace strut(const std::string& name, const std::optional<Eigen::Vector3d>& near_mm);
  std::vector<Traced> tube_points(const TagTube& tube, const std::string& name, Eigen::Index own_input) const;

  const TracedNetwork& network_;
  const HardpointQuestion& question_;
  const Eigen::MatrixXd& covariance_;
  Eigen::Index tube_input_;
  std::optional<PointerTip> tip_{};
  std::map<std::string, TurningAxis> hinges_{};
  std::optional<SlidingAxis> strut_{};
};

}  // namespace pivotfix
