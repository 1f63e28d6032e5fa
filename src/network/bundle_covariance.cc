// SPDX-License-Identifier: Apache-2.0
// Normal equations by blocks: per observation a small Jacobian in tangent coordinates, stations eliminated
// (Schur complement; Triggs et al., "Bundle Adjustment - A Modern Synthesis", 2000, section 6.1), the rest
// inverted whole. Station blocks come back by substitution, for their shifts and for redundancy numbers.
#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>

#include "network/bundle.h"

namespace pivotfix {

namespace {

using StationMatrix = Eigen::Matrix<double, station_width, station_width>;

// Where the unknowns other than stations stand in the reduced normal equations; -1: held.
struct ReducedLayout {
  std::vector<int> target, size;
  std::vector<std::array<int, lens_parameter_count>> lens;
  int width = 0;
};

ReducedLayout reduced_layout(const Bundle& bundle) {
  ReducedLayout layout;
  std::vector<bool> target_seen(bundle.targets.size()), size_seen(bundle.sizes.size()),
      lens_seen(bundle.lenses.size());
  for (const BundleObservation& observation : bundle.observations) {
    if (observation.rejected) continue;
    target_seen[observation.target] = true;
    size_seen[bundle.targets[observation.target].size] = true;
    lens_seen[bundle.stations[observation.station].lens] = true;
  }
  const auto place = [&](bool present, int width) {
    if (!present) return -1;
    const int at = layout.width;
    layout.width += width;
    return at;
  };
  for (std::size_t i = 0; i < bundle.targets.size(); ++i)
    layout.target.push_back(
        place(target_seen[i] && static_cast<int>(i) != bundle.datum_target, target_width));
  for (std::size_t i = 0; i < bundle.sizes.size(); ++i)
    layout.size.push_back(place(size_seen[i] && bundle.sizes[i].free, 1));
  for (std::size_t i = 0; i < bundle.lenses.size(); ++i) {
    layout.lens.emplace_back();
    for (int k = 0; k < lens_parameter_count; ++k)
      layout.lens.back()[k] = place(lens_seen[i] && bundle.lenses[i].free[k], 1);
  }
  return layout;
}

// Column of the reduced normal equations for each local column after the station's; -1: held.
std::array<int, local_width> columns_of(const Bundle& bundle, const BundleObservation& observation,
                                        const ReducedLayout& layout) {
  std::array<int, local_width> column;
  column.fill(-1);
  const int target = layout.target[observation.target];
  for (int i = 0; i < target_width && target >= 0; ++i) column[station_width + i] = target + i;
  column[station_width + target_width] = layout.size[bundle.targets[observation.target].size];
  const auto& lens = layout.lens[bundle.stations[observation.station].lens];
  for (int i = 0; i < lens_parameter_count; ++i) column[station_width + target_width + 1 + i] = lens[i];
  return column;
}

class NormalEquations {
 public:
  explicit NormalEquations(const Bundle& bundle)
      : bundle_(bundle),
        layout_(reduced_layout(bundle)),
        reduced_(Eigen::MatrixXd::Zero(layout_.width, layout_.width)),
        station_(bundle.stations.size(), StationMatrix::Zero()),
        coupling_(bundle.stations.size()),
        seen_(bundle.stations.size(), false) {
    for (auto& block : coupling_) block.setZero(station_width, layout_.width);
    add_observations();
    add_distances();
    add_expectations();
  }

  BundleCovariance solve();

 private:
  void add_observations();
  void add_distances();
  void add_expectations();
  void expect_calibration(std::size_t lens);
  void eliminate_stations();
  void fill_redundancies(BundleCovariance& result) const;
  void fill_blocks(BundleCovariance& result) const;

  void expect(int column, double miss, double sigma) {
    if (column < 0 || sigma <= 0.0) return;
    reduced_(column, column) += 1.0 / (sigma * sigma);
    square_sum_ += miss * miss / (sigma * sigma);
    ++residuals_;
  }

  const Bundle& bundle_;
  ReducedLayout layout_;
  Eigen::MatrixXd reduced_, inverse_;
  std::vector<StationMatrix> station_, station_inverse_;
  std::vector<Eigen::MatrixXd> coupling_, substitution_;  // substitution: station = -substitution * reduced
  std::vector<bool> seen_;
  std::vector<Eigen::Matrix<double, Eigen::Dynamic, local_width>> jacobians_;
  double square_sum_ = 0.0;
  int residuals_ = 0;
};

void NormalEquations::add_observations() {
  jacobians_.resize(bundle_.observations.size());
  for (std::size_t i = 0; i < bundle_.observations.size(); ++i) {
    const BundleObservation& observation = bundle_.observations[i];
    if (observation.rejected) continue;
    seen_[observation.station] = true;
    const auto& jacobian = jacobians_[i] = local_jacobian(bundle_, observation);
    const Eigen::Matrix<double, local_width, local_width> normal = jacobian.transpose() * jacobian;
    const auto column = columns_of(bundle_, observation, layout_);
    station_[observation.station] += normal.topLeftCorner<station_width, station_width>();
    for (int a = station_width; a < local_width; ++a) {
      if (column[a] < 0) continue;
      coupling_[observation.station].col(column[a]) += normal.block(0, a, station_width, 1);
      for (int b = station_width; b < local_width; ++b)
        if (column[b] >= 0) reduced_(column[a], column[b]) += normal(a, b);
    }
    square_sum_ += (observation.square_root_information * residuals_px(bundle_, observation)).squaredNorm();
    residuals_ += static_cast<int>(observation.square_root_information.rows());
  }
}

void NormalEquations::add_distances() {
  for (const BundleDistance& distance : bundle_.distances) {
    const Eigen::Vector3d apart_mm = bundle_.targets[distance.to_target].network_from_target.translation_mm -
                                     bundle_.targets[distance.from_target].network_from_target.translation_mm;
    const Eigen::Vector3d gradient = apart_mm.normalized() / distance.sigma_mm;
    const std::array<std::pair<int, double>, 2> ends{
        {{layout_.target[distance.from_target], -1.0}, {layout_.target[distance.to_target], 1.0}}};
    for (const auto& [row, row_sign] : ends)
      for (const auto& [column, column_sign] : ends)
        if (row >= 0 && column >= 0)
          reduced_.block<3, 3>(row, column) += row_sign * column_sign * gradient * gradient.transpose();
    const double miss = (apart_mm.norm() - distance.length_mm) / distance.sigma_mm;
    square_sum_ += miss * miss;
    ++residuals_;
  }
}

void NormalEquations::expect_calibration(std::size_t index) {
  const BundleLens& lens = bundle_.lenses[index];
  const Eigen::MatrixXd whitening = lens.square_root_of_knowledge();
  const Eigen::MatrixXd information = whitening.transpose() * whitening;
  const auto& column = layout_.lens[index];
  Eigen::VectorXd difference(lens_parameter_count);
  bool any_free = false;
  for (int a = 0; a < lens_parameter_count; ++a) {
    difference[a] = lens.lens.values[a] - lens.expected.values[a];
    any_free = any_free || column[a] >= 0;
    for (int b = 0; b < lens_parameter_count; ++b)
      if (column[a] >= 0 && column[b] >= 0) reduced_(column[a], column[b]) += information(a, b);
  }
  if (!any_free) return;
  square_sum_ += (whitening * difference).squaredNorm();
  residuals_ += static_cast<int>(whitening.rows());
}

void NormalEquations::add_expectations() {
  for (std::size_t i = 0; i < bundle_.sizes.size(); ++i)
    expect(layout_.size[i], bundle_.sizes[i].factor - 1.0, bundle_.sizes[i].expected_sigma);
  for (std::size_t i = 0; i < bundle_.lenses.size(); ++i)
    for (int k = 0; k < lens_parameter_count && !bundle_.lenses[i].calibrated(); ++k)
      expect(layout_.lens[i][k], bundle_.lenses[i].lens.values[k] - bundle_.lenses[i].expected.values[k],
             bundle_.lenses[i].expected_sigma[k]);
  for (std::size_t i = 0; i < bundle_.lenses.size(); ++i)
    if (bundle_.lenses[i].calibrated()) expect_calibration(i);
  for (std::size_t i = 0; i < station_.size(); ++i) {
    if (!seen_[i]) continue;
    for (int k = 0; k < 3; ++k) {
      const double sigma = bundle_.shift_sigma[k];
      if (sigma > 0.0) {
        const double miss = bundle_.stations[i].shift[k] / sigma;
        station_[i](6 + k, 6 + k) += 1.0 / (sigma * sigma);
        square_sum_ += miss * miss;
        ++residuals_;
      } else {  // held: decoupled from the rest, with no variance of its own
        station_[i].row(6 + k).setZero();
        station_[i].col(6 + k).setZero();
        station_[i](6 + k, 6 + k) = 1e30;
        coupling_[i].row(6 + k).setZero();
      }
    }
  }
}

void NormalEquations::eliminate_stations() {
  station_inverse_.assign(station_.size(), StationMatrix::Zero());
  substitution_.resize(station_.size());
  for (std::size_t i = 0; i < station_.size(); ++i) {
    if (!seen_[i]) continue;
    station_inverse_[i] = station_[i].ldlt().solve(StationMatrix::Identity());
    substitution_[i] = station_inverse_[i] * coupling_[i];
    reduced_.noalias() -= coupling_[i].transpose() * substitution_[i];
  }
  inverse_ = reduced_.ldlt().solve(Eigen::MatrixXd::Identity(layout_.width, layout_.width));
  inverse_ = 0.5 * (inverse_ + inverse_.transpose()).eval();
}

// Redundancy of an observation: residuals minus trace(J C J'), with the joint covariance C of its station and
// the rest; station = -substitution * rest + its own part.
void NormalEquations::fill_redundancies(BundleCovariance& result) const {
  std::vector<Eigen::MatrixXd> cross(station_.size());
  std::vector<StationMatrix> own(station_.size());
  for (std::size_t i = 0; i < station_.size(); ++i) {
    if (!seen_[i]) continue;
    cross[i] = -substitution_[i] * inverse_;
    own[i] = station_inverse_[i] - cross[i] * substitution_[i].transpose();
    result.shifts[i] = own[i].bottomRightCorner<3, 3>();
  }
  for (std::size_t i = 0; i < bundle_.observations.size(); ++i) {
    const BundleObservation& observation = bundle_.observations[i];
    if (observation.rejected) continue;
    const auto column = columns_of(bundle_, observation, layout_);
    Eigen::MatrixXd joint = Eigen::MatrixXd::Zero(local_width, local_width);
    joint.topLeftCorner<station_width, station_width>() = own[observation.station];
    for (int a = station_width; a < local_width; ++a) {
      if (column[a] < 0) continue;
      joint.block(0, a, station_width, 1) = cross[observation.station].col(column[a]);
      joint.block(a, 0, 1, station_width) = joint.block(0, a, station_width, 1).transpose();
      for (int b = station_width; b < local_width; ++b)
        if (column[b] >= 0) joint(a, b) = inverse_(column[a], column[b]);
    }
    const auto& jacobian = jacobians_[i];
    result.observation_redundancy[i] =
        static_cast<double>(jacobian.rows()) - (jacobian * joint).cwiseProduct(jacobian).sum();
    result.observation_square[i] =
        (observation.square_root_information * residuals_px(bundle_, observation)).squaredNorm();
  }
}

void NormalEquations::fill_blocks(BundleCovariance& result) const {
  std::vector<int> place;
  for (const int target : layout_.target)
    for (int k = 0; k < target_width; ++k) place.push_back(target >= 0 ? target + k : -1);
  place.insert(place.end(), layout_.size.begin(), layout_.size.end());
  for (const auto& lens : layout_.lens) place.insert(place.end(), lens.begin(), lens.end());
  const auto width = static_cast<Eigen::Index>(place.size());
  result.joint.setZero(width, width);
  for (Eigen::Index b = 0; b < width; ++b)
    for (Eigen::Index a = 0; a < width; ++a)
      if (place[a] >= 0 && place[b] >= 0) result.joint(a, b) = inverse_(place[a], place[b]);
  const auto targets = static_cast<Eigen::Index>(target_width * bundle_.targets.size());
  result.targets = result.joint.topLeftCorner(targets, targets);
  Eigen::Index at = targets + static_cast<Eigen::Index>(layout_.size.size());
  for (std::size_t i = 0; i < layout_.lens.size(); ++i, at += lens_parameter_count)
    result.lenses.emplace_back(result.joint.block(at, at, lens_parameter_count, lens_parameter_count));
}

BundleCovariance NormalEquations::solve() {
  eliminate_stations();
  BundleCovariance result;
  result.weighted_square_sum = square_sum_;
  result.residuals = residuals_;
  result.unknowns = layout_.width;
  const int free_shifts = static_cast<int>(std::count_if(
      bundle_.shift_sigma.begin(), bundle_.shift_sigma.end(), [](double sigma) { return sigma > 0.0; }));
  for (const bool seen : seen_)
    if (seen) result.unknowns += 6 + free_shifts;
  result.shifts.assign(station_.size(), Eigen::Matrix3d::Zero());
  result.observation_square.assign(bundle_.observations.size(), 0.0);
  result.observation_redundancy.assign(bundle_.observations.size(), 0.0);
  fill_blocks(result);
  fill_redundancies(result);
  return result;
}

}  // namespace

BundleCovariance covariance(const Bundle& bundle) {
  return NormalEquations(bundle).solve();
}

}  // namespace pivotfix
