// SPDX-License-Identifier: Apache-2.0
// The adjustment's normal equations by blocks: per observation a small Jacobian in tangent coordinates, the
// unknowns of every station eliminated (Schur complement; Triggs et al., "Bundle Adjustment - A Modern
// Synthesis", 2000, section 6.1), and of the rest - targets, sizes, lenses - one small dense matrix, whose
// Cholesky factor gives steps and covariance alike. Private to the bundle stage.
//
// Sums run in the order of stations and of their observations, in two halves that two threads may work on;
// the halves are always the same, so equal inputs give equal bytes on one thread and on two.
#pragma once

#include <Eigen/Cholesky>
#include <array>
#include <functional>
#include <vector>

#include "bundle/bundle.h"
#include "bundle/projection.h"

namespace pivotfix {

using StationMatrix = Eigen::Matrix<double, station_width, station_width>;
using StationVector = Eigen::Matrix<double, station_width, 1>;
using StationRows = Eigen::Matrix<double, station_width, Eigen::Dynamic>;

inline constexpr int shared_width = local_width - station_width;  // of an observation: target, size, lens

// Where the unknowns other than stations stand in the reduced normal equations; -1: held.
struct ReducedLayout {
  std::vector<int> target, size;
  std::vector<std::array<int, lens_parameter_count>> lens;
  int width = 0;
};

// Photo shifts that are held stand in it uncoupled, with no variance.
struct StationEquations {
  std::vector<int> observations{};  // not rejected; none: the station takes no part
  StationMatrix normal{};           // lower triangle
  StationVector gradient{};
  Eigen::LLT<StationMatrix> factor{};  // normal = L L'
};

// Neighbouring stations that see much the same targets: what they share with the rest is one dense block.
struct StationGroup {
  static constexpr int most_stations = 16;

  std::vector<int> stations{};
  std::vector<int> columns{};  // of the reduced equations that any of them touches, ascending
  // Rows: as many for each of `stations` as it has unknowns; columns: one for each of `columns`.
  Eigen::MatrixXd coupling{};
  // Once factored: inverse(L) coupling and inverse(L) gradient of each station.
  Eigen::MatrixXd whitened_coupling{};
  Eigen::VectorXd whitened_gradient{};
};

// Neighbouring groups, and what they add to the reduced equations.
struct HalfOfGroups {
  std::size_t begin = 0, end = 0;
  Eigen::MatrixXd sum{};  // lower triangle
  Eigen::VectorXd gradient{};
  double cost = 0.0;
  bool determined = true;          // each of its stations, as last factored
  Eigen::MatrixXd of_one_group{};  // room to work in, as wide as the widest group may be
};

struct AdjustmentStep {
  std::vector<StationVector> stations{};
  Eigen::VectorXd rest{};
  double expected_gain = 0.0;  // fall of the cost if all were linear
};

class NormalEquations {
 public:
  // Keeps a reference: `bundle` must live, and take no other observations in, as long as this does.
  NormalEquations(const Bundle& bundle, bool lenses_held);

  // Derivatives and residuals at the bundle's present unknowns; `robust_scale` as in BundleOptions.
  void linearise(double robust_scale);

  // Half the sum of squared whitened residuals, or of Cauchy's loss of them.
  double cost() const { return cost_; }

  // Eliminates the stations and factors the rest, the diagonal enlarged by the share `damping` (Levenberg and
  // Marquardt). False where the equations do not determine all unknowns.
  bool factor(double damping);

  // From the last factor.
  AdjustmentStep step() const;
  void apply(const AdjustmentStep& step, Bundle& bundle) const;

  // From the last linearisation, which must not have been robust; redundancies and squares of observations
  // are those of the bundle as it is now. Its `determined` is false where the equations do not determine all
  // unknowns.
  BundleCovariance covariance();

 private:
  struct Columns {
    std::array<int, shared_width> reduced, of_group;  // -1: held
  };

  void lay_out(bool lenses_held);
  void lay_out_groups();
  void lay_out_halves();
  // `multiplications` of both together, roughly: for few no other thread is begun.
  void in_halves(double multiplications, const std::function<void(HalfOfGroups&)>& work);
  std::vector<int> touched_columns(const StationEquations& station) const;  // reduced, ascending
  void place_columns(const StationGroup& group);
  std::array<int, shared_width> reduced_columns(const BundleObservation& observation) const;
  void add_group(StationGroup& group, double robust_scale, HalfOfGroups& half);
  template <int rows>
  void add_observation(std::size_t index, StationGroup& group, Eigen::Index row, double robust_scale,
                       HalfOfGroups& half);
  void add_distances();
  void add_expectations();
  void add_calibration(std::size_t lens);
  void add_shifts(StationGroup& group, Eigen::Index place);
  void expect(int column, double miss, double sigma);
  void count(double miss);  // a whitened residual of its own
  bool whiten(StationGroup& group, double damping);
  template <int width>
  void whiten_rows(const StationEquations& station, Eigen::Index place, StationGroup& group) const;
  void eliminate(const StationGroup& group, HalfOfGroups& half) const;
  Eigen::MatrixXd inverse();
  bool determines_all() const;  // as last factored
  void fill_blocks(const Eigen::MatrixXd& inverse, BundleCovariance& result) const;
  void fill_group(const StationGroup& group, const Eigen::MatrixXd& inverse, HalfOfGroups& half,
                  BundleCovariance& result) const;
  void fill_centre(std::size_t index, const Linearised<8>& at,
                   const Eigen::Matrix<double, 8, local_width>& spread, BundleCovariance& result) const;
  template <int rows>
  void fill_redundancy(std::size_t index, const Eigen::MatrixXd& inverse, const StationMatrix& own,
                       const StationRows& cross, BundleCovariance& result) const;

  const Bundle& bundle_;
  ReducedLayout layout_;
  std::vector<StationEquations> stations_;
  int width_of_station_ = station_width;  // `first_shift` where all photo shifts are held
  std::vector<StationGroup> groups_;
  std::array<HalfOfGroups, 2> halves_;
  double linearising_ = 0.0, eliminating_ = 0.0;  // multiplications
  std::vector<Columns> columns_;                  // of each observation
  // Lower triangles only.
  Eigen::MatrixXd reduced_, eliminated_;
  Eigen::VectorXd reduced_gradient_, eliminated_gradient_;
  Eigen::LLT<Eigen::MatrixXd> factor_;
  double damping_ = 0.0;
  bool factored_ = false;  // with `damping_`, at the last linearisation
  double cost_ = 0.0;
  double squares_ = 0.0;  // of distances and expectations
  int residuals_ = 0;     // likewise
};

}  // namespace pivotfix
