// SPDX-License-Identifier: Apache-2.0
// Linear propagation (JCGM 100:2008, 5.2) of the tags' joint covariance: every pivot's place in the network
// and the vehicle axes are functions of the same tags, so the derivatives are carried together as rows over
// all inputs. What motion and tape say besides are conditions between those functions: they move the inputs
// within their covariance, so that all that is known of a pivot is weighed together.
//
// Private to the locate stage.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "locate/conditions.h"
#include "locate/locate_hardpoints.h"
#include "locate/pivot_ways.h"
#include "locate/vehicle_axes.h"

namespace pivotfix {

// Inputs after the tags': three of each hardpoint's own way, three for its joint's play, then the axes' own,
// then one for each measured distance, then six by which the axis of a tube is off.
struct InputPlan {
  Eigen::Index tags = 0, hardpoints = 0, distances = 0;
  Eigen::Index own(std::size_t hardpoint) const { return tags + 3 * static_cast<Eigen::Index>(hardpoint); }
  Eigen::Index play(std::size_t hardpoint) const { return own(hardpoint) + 3 * hardpoints; }
  Eigen::Index axes() const { return tags + 6 * hardpoints; }
  Eigen::Index distance(std::size_t i) const {
    return axes() + VehicleAxes::own_inputs + static_cast<Eigen::Index>(i);
  }
  Eigen::Index tube() const { return axes() + VehicleAxes::own_inputs + distances; }
  Eigen::Index total() const { return tube() + PivotWays::tube_inputs; }
};

// Rows of conditions, collected one by one.
class ConditionRows {
 public:
  explicit ConditionRows(Eigen::Index inputs) : inputs_(inputs) {}
  void add(double miss, const Eigen::RowVectorXd& by_inputs) {
    misses_.push_back(miss);
    rows_.push_back(by_inputs);
  }
  bool empty() const { return rows_.empty(); }
  Conditions all() const { return last(rows_.size()); }
  Conditions last(std::size_t count) const {
    const auto size = static_cast<Eigen::Index>(count);
    Conditions result{Eigen::VectorXd(size), {}, Eigen::MatrixXd(size, inputs_)};
    for (Eigen::Index i = 0; i < size; ++i) {
      result.miss[i] = misses_[misses_.size() - count + i];
      result.by_inputs.row(i) = rows_[rows_.size() - count + i];
    }
    return result;
  }

 private:
  Eigen::Index inputs_;
  std::vector<double> misses_{};
  std::vector<Eigen::RowVectorXd> rows_{};
};

// Locates once, in the order of `locate`.
class Locator {
 public:
  Locator(const RigidNetwork& rigid, const HardpointQuestion& question)
      : rigid_(rigid),
        question_(question),
        plan_{6 * static_cast<Eigen::Index>(rigid.network.tags.size()),
              static_cast<Eigen::Index>(question.hardpoints.size()),
              static_cast<Eigen::Index>(question.distances.size())},
        network_(rigid.network, plan_.total() - plan_.tags, rigid.bodies),
        covariance_(Eigen::MatrixXd::Zero(plan_.total(), plan_.total())),
        ways_(network_, question, covariance_, plan_.tube()),
        axes_(network_, question.axes, question.reference_height, plan_.axes()),
        rows_(plan_.total()) {
    fill_covariance(rigid.network);
    note_bodies(rigid);
  }

  Located locate();

 private:
  void fill_covariance(const Network& network);
  void note_bodies(const RigidNetwork& rigid);
  void find_own_places();
  void find_motion_places();
  void find_origin();
  void widen_half_track();
  std::string what_motion_adds(std::size_t index) const;  // to the words for the pivot's way
  Traced in_vehicle(std::size_t index) const;
  void add_motion_play(std::size_t index, double along_mm, const Eigen::Matrix3d& play_from_vehicle);
  void widen(Eigen::Index first_input, double sigma);
  Eigen::Index place_inputs(std::size_t index) const;
  bool on_line_only(std::size_t index) const;
  Eigen::Matrix3d motion_spread_vehicle(std::size_t index, double along_mm) const;
  Eigen::Matrix3d open_vehicle(std::size_t index, double along_mm) const;
  void hold_to_motion(std::size_t index);
  void hold_to_tube();
  void hold_to_tape();
  std::optional<std::string> line_only_end(const MeasuredDistance& tape) const;
  bool contradicts(const MeasuredDistance& tape, double miss_mm, const Eigen::RowVectorXd& by_inputs);
  ConditionedInputs held() const;
  void note_open_directions(const HardpointSet& set);
  void note_scatter(const HardpointRecipe& recipe, const Eigen::Matrix3d& scatter_mm2);
  void note_unchecked_tags();
  void note_shallow_tags();
  std::string half_track_error_words() const;
  double note_disagreement(std::size_t index, const std::string& what, std::size_t rows);
  void check_sides(const HardpointSet& set) const;
  void note_stated(const Eigen::MatrixXd& points_by_inputs);
  void add_body_tags(const Eigen::MatrixXd& points_by_inputs, const Eigen::VectorXd& move,
                     const Eigen::MatrixXd& covariance);
  bool by_hand(std::size_t index) const {
    return std::holds_alternative<ByHand>(question_.hardpoints[index].way);
  }
  std::optional<std::size_t> index_of(const std::string& name) const;

  const RigidNetwork& rigid_;
  const HardpointQuestion& question_;
  InputPlan plan_;
  TracedNetwork network_;
  Eigen::MatrixXd covariance_;
  PivotWays ways_;
  VehicleAxes axes_;
  ConditionRows rows_;
  std::vector<std::optional<Traced>> place_{};        // network axes; none when by hand
  std::vector<std::optional<MotionPlace>> motion_{};  // network axes
  std::vector<bool> from_motion_alone_{};
  Located located_{};
};

}  // namespace pivotfix
