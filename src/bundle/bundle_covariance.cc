// SPDX-License-Identifier: Apache-2.0
// Covariance and redundancy numbers from the factored normal equations: the reduced matrix inverted whole,
// station blocks by substitution.
#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>

#include "bundle/normal_equations.h"
#include "bundle/projection.h"

namespace pivotfix {

namespace {

using Block = Eigen::Ref<Eigen::MatrixXd>;

constexpr Eigen::Index small_enough = 48;  // halves of triangles are products, which are fast

// A lower triangle becomes its inverse, in place; what is above it stays as it is.
void invert_lower(Block lower) {
  const Eigen::Index size = lower.rows();
  if (size <= small_enough) {
    lower.triangularView<Eigen::Lower>() =
        lower.triangularView<Eigen::Lower>().solve(Eigen::MatrixXd::Identity(size, size)).eval();
    return;
  }
  const Eigen::Index half = size / 2, rest = size - half;
  invert_lower(lower.topLeftCorner(half, half));
  invert_lower(lower.bottomRightCorner(rest, rest));
  const Eigen::MatrixXd across =
      lower.bottomRightCorner(rest, rest).triangularView<Eigen::Lower>() * lower.bottomLeftCorner(rest, half);
  lower.bottomLeftCorner(rest, half) =
      -across * lower.topLeftCorner(half, half).triangularView<Eigen::Lower>();
}

// A lower triangle M becomes the lower triangle of M' M, in place.
void square_lower(Block lower) {
  const Eigen::Index size = lower.rows();
  if (size <= small_enough) {
    const Eigen::MatrixXd triangle = lower.triangularView<Eigen::Lower>();
    lower.triangularView<Eigen::Lower>() = triangle.transpose() * triangle;
    return;
  }
  const Eigen::Index half = size / 2, rest = size - half;
  const Eigen::MatrixXd below = lower.bottomLeftCorner(rest, half);
  square_lower(lower.topLeftCorner(half, half));
  lower.topLeftCorner(half, half).selfadjointView<Eigen::Lower>().rankUpdate(below.transpose());
  lower.bottomLeftCorner(rest, half).noalias() =
      lower.bottomRightCorner(rest, rest).triangularView<Eigen::Lower>().transpose() * below;
  square_lower(lower.bottomRightCorner(rest, rest));
}

}  // namespace

Eigen::MatrixXd NormalEquations::inverse() {
  if ((!factored_ || damping_ > 0.0) && !factor(0.0)) {
    // Something is not determined at all: large numbers for it, true ones for the rest.
    eliminated_ = eliminated_.selfadjointView<Eigen::Lower>();
    return eliminated_.ldlt().solve(Eigen::MatrixXd::Identity(layout_.width, layout_.width));
  }
  Eigen::MatrixXd result = factor_.matrixLLT();
  invert_lower(result);
  square_lower(result);
  result.triangularView<Eigen::StrictlyUpper>() = result.transpose();
  return result;
}

// Rounding may leave a little of a pivot that is nothing in truth: what is determined keeps more of it.
bool NormalEquations::determines_all() const {
  constexpr double least_kept = 1e-12;
  return factored_ &&
         (factor_.matrixLLT().diagonal().array().square() > least_kept * reduced_.diagonal().array()).all();
}

// With the whitened residuals W m of the corners' misses m, the centre's is F W m, F = M inverse(W), M the
// mean of four corners; `spread` is J C.
void NormalEquations::fill_centre(std::size_t index, const Linearised<8>& at,
                                  const Eigen::Matrix<double, 8, local_width>& spread,
                                  BundleCovariance& result) const {
  const Eigen::Matrix<double, 2, 8> mean = 0.25 * Eigen::Matrix2d::Identity().replicate<1, 4>();
  const Eigen::Map<const Eigen::Matrix<double, 8, 8>> whitening(
      bundle_.observations[index].square_root_information.data());
  const Eigen::Matrix<double, 2, 8> from_whitened =
      whitening.triangularView<Eigen::Lower>().solve<Eigen::OnTheRight>(mean);
  const Eigen::Matrix2d weight = (from_whitened * from_whitened.transpose()).inverse();
  const Eigen::Vector2d miss_px = from_whitened * at.residuals;
  const Eigen::Matrix<double, 2, local_width> centre_spread = from_whitened.lazyProduct(spread);
  const Eigen::Matrix<double, 2, local_width> centre_jacobian = from_whitened.lazyProduct(at.jacobian);
  const Eigen::Matrix2d taken_up = centre_spread.lazyProduct(centre_jacobian.transpose());
  result.centre_square[index] = miss_px.dot(weight * miss_px);
  result.centre_redundancy[index] = 2.0 - (weight * taken_up).trace();
}

template <int rows>
void NormalEquations::fill_redundancy(std::size_t index, const Eigen::MatrixXd& inverse,
                                      const StationMatrix& own, const StationRows& cross,
                                      BundleCovariance& result) const {
  Eigen::Matrix<double, local_width, local_width> joint;
  joint.setZero();
  joint.topLeftCorner<station_width, station_width>() = own;
  const auto& [reduced, of_group] = columns_[index];
  for (int a = 0; a < shared_width; ++a) {
    if (reduced[a] < 0) continue;
    joint.col(station_width + a).head<station_width>() = cross.col(of_group[a]);
    joint.row(station_width + a).head<station_width>() = cross.col(of_group[a]).transpose();
    const double* const column = &inverse(0, reduced[a]);
    for (int b = 0; b < shared_width; ++b)
      if (reduced[b] >= 0) joint(station_width + b, station_width + a) = column[reduced[b]];
  }
  Linearised<rows> at;
  linearise_observation(bundle_, bundle_.observations[index], at);
  Eigen::Matrix<double, rows, local_width> spread;
  spread = at.jacobian.lazyProduct(joint);
  result.observation_redundancy[index] =
      static_cast<double>(at.residuals.size()) - spread.cwiseProduct(at.jacobian).sum();
  result.observation_square[index] = at.residuals.squaredNorm();
  if constexpr (rows == 8) fill_centre(index, at, spread, result);
}

// Redundancy of an observation: residuals minus trace(J C J'), with the joint covariance C of its station and
// the rest; station = -substitution * rest + its own part.
void NormalEquations::fill_group(const StationGroup& group, const Eigen::MatrixXd& inverse,
                                 HalfOfGroups& half, BundleCovariance& result) const {
  Eigen::MatrixXd substitution = group.whitened_coupling;
  for (std::size_t i = 0; i < group.stations.size(); ++i) {
    auto own_rows =
        substitution.middleRows(static_cast<Eigen::Index>(width_of_station_ * i), width_of_station_);
    const auto& factor = stations_[group.stations[i]].factor.matrixLLT();
    factor.topLeftCorner(width_of_station_, width_of_station_)
        .triangularView<Eigen::Lower>()
        .transpose()
        .solveInPlace(own_rows);
  }
  const auto width = static_cast<Eigen::Index>(group.columns.size());
  auto touched = half.of_one_group.topLeftCorner(width, width);
  touched = inverse(group.columns, group.columns);
  const Eigen::MatrixXd cross_of_all = -substitution * touched;
  for (std::size_t i = 0; i < group.stations.size(); ++i) {
    const StationEquations& station = stations_[group.stations[i]];
    const auto row = static_cast<Eigen::Index>(width_of_station_ * i);
    StationRows cross = StationRows::Zero(station_width, width);
    cross.topRows(width_of_station_) = cross_of_all.middleRows(row, width_of_station_);
    StationMatrix own = station.factor.solve(StationMatrix::Identity());
    own.leftCols(width_of_station_) -= cross * substitution.middleRows(row, width_of_station_).transpose();
    result.shifts[group.stations[i]] = own.bottomRightCorner<photo_shift_count, photo_shift_count>();
    for (const int observation : station.observations)
      if (bundle_.observations[observation].square_root_information.rows() == 8)
        fill_redundancy<8>(observation, inverse, own, cross, result);
      else
        fill_redundancy<Eigen::Dynamic>(observation, inverse, own, cross, result);
  }
}

void NormalEquations::fill_blocks(const Eigen::MatrixXd& inverse, BundleCovariance& result) const {
  std::vector<int> place;
  for (const int target : layout_.target)
    for (int k = 0; k < target_width; ++k) place.push_back(target >= 0 ? target + k : -1);
  place.insert(place.end(), layout_.size.begin(), layout_.size.end());
  for (const auto& lens : layout_.lens) place.insert(place.end(), lens.begin(), lens.end());
  const auto width = static_cast<Eigen::Index>(place.size());
  result.joint.setZero(width, width);
  for (Eigen::Index b = 0; b < width; ++b)
    for (Eigen::Index a = 0; a < width; ++a)
      if (place[a] >= 0 && place[b] >= 0) result.joint(a, b) = inverse(place[a], place[b]);
  const auto targets = static_cast<Eigen::Index>(target_width * bundle_.targets.size());
  result.targets = result.joint.topLeftCorner(targets, targets);
  Eigen::Index at = targets + static_cast<Eigen::Index>(layout_.size.size());
  for (std::size_t i = 0; i < layout_.lens.size(); ++i, at += lens_parameter_count)
    result.lenses.emplace_back(result.joint.block(at, at, lens_parameter_count, lens_parameter_count));
}

BundleCovariance NormalEquations::covariance() {
  BundleCovariance result;
  result.residuals = residuals_;
  result.unknowns = layout_.width;
  const int free_shifts = static_cast<int>(std::count_if(
      bundle_.shift_sigma.begin(), bundle_.shift_sigma.end(), [](double sigma) { return sigma > 0.0; }));
  for (const StationEquations& station : stations_) {
    if (!station.observations.empty()) result.unknowns += first_shift + free_shifts;
    for (const int i : station.observations)
      result.residuals += static_cast<int>(bundle_.observations[i].square_root_information.rows());
  }
  result.shifts.assign(stations_.size(), ShiftCovariance::Zero());
  result.observation_square.assign(bundle_.observations.size(), 0.0);
  result.observation_redundancy = result.centre_square = result.centre_redundancy = result.observation_square;
  const Eigen::MatrixXd whole = inverse();
  result.determined = determines_all();
  fill_blocks(whole, result);
  in_halves(eliminating_, [&](HalfOfGroups& half) {
    for (std::size_t i = half.begin; i < half.end; ++i) fill_group(groups_[i], whole, half, result);
  });
  result.weighted_square_sum = squares_;
  for (const double square : result.observation_square) result.weighted_square_sum += square;
  return result;
}

BundleCovariance covariance(const Bundle& bundle) {
  NormalEquations equations(bundle, false);
  equations.linearise(0.0);
  return equations.covariance();
}

}  // namespace pivotfix
