// SPDX-License-Identifier: Apache-2.0
#include "bundle/normal_equations.h"

#include <algorithm>
#include <cmath>

#include "base/side_by_side.h"
#include "bundle/projection.h"

namespace pivotfix {

namespace {

constexpr int four_points = 8;  // rows of a tag's observation

RigidTransform turned(const RigidTransform& pose, const Eigen::Vector3d& turn_rad,
                      const Eigen::Vector3d& shift_mm) {
  return {turned_by(turn_rad, pose.rotation), pose.translation_mm + shift_mm};
}

}  // namespace

void NormalEquations::in_halves(double multiplications, const std::function<void(HalfOfGroups&)>& work) {
  constexpr double worth_a_thread = 6e6;  // ten times what it takes to begin one
  side_by_side(halves_.size(), multiplications > worth_a_thread ? bundle_.threads : 1,
               [&](std::size_t i) { work(halves_[i]); });
}

void NormalEquations::linearise(double robust_scale) {
  factored_ = false;
  squares_ = 0.0;
  residuals_ = 0;
  in_halves(linearising_, [&](HalfOfGroups& half) {
    half.sum.setZero(layout_.width, layout_.width);
    half.gradient.setZero(layout_.width);
    half.cost = 0.0;
    for (std::size_t i = half.begin; i < half.end; ++i) add_group(groups_[i], robust_scale, half);
  });
  reduced_ = halves_[0].sum + halves_[1].sum;
  reduced_gradient_ = halves_[0].gradient + halves_[1].gradient;
  add_distances();
  add_expectations();
  cost_ = halves_[0].cost + halves_[1].cost + 0.5 * squares_;
}

void NormalEquations::add_group(StationGroup& group, double robust_scale, HalfOfGroups& half) {
  group.coupling.setZero(width_of_station_ * static_cast<Eigen::Index>(group.stations.size()),
                         static_cast<Eigen::Index>(group.columns.size()));
  for (std::size_t place = 0; place < group.stations.size(); ++place) {
    StationEquations& station = stations_[group.stations[place]];
    station.normal.setZero();
    station.gradient.setZero();
    const auto row = static_cast<Eigen::Index>(width_of_station_ * place);
    for (const int i : station.observations)
      if (bundle_.observations[i].square_root_information.rows() == four_points)
        add_observation<four_points>(i, group, row, robust_scale, half);
      else
        add_observation<Eigen::Dynamic>(i, group, row, robust_scale, half);
  }
}

// Sums of products column by column: for eight rows they are faster than a general matrix product, and every
// one of them has its own place.
template <int rows>
void NormalEquations::add_observation(std::size_t index, StationGroup& group, Eigen::Index row,
                                      double robust_scale, HalfOfGroups& half) {
  const BundleObservation& observation = bundle_.observations[index];
  Linearised<rows> at;
  linearise_observation(bundle_, observation, at);
  const double square = at.residuals.squaredNorm();
  if (robust_scale > 0.0) {
    // Cauchy's loss a^2/2 log(1 + s/a^2) of the square s, as reweighted least squares.
    const double scale_square = robust_scale * robust_scale;
    const double weight = 1.0 / (1.0 + square / scale_square);
    at.jacobian *= std::sqrt(weight);
    at.residuals *= std::sqrt(weight);
    half.cost += 0.5 * scale_square * std::log1p(square / scale_square);
  } else {
    half.cost += 0.5 * square;
  }
  StationEquations& station = stations_[observation.station];
  for (int a = 0; a < width_of_station_; ++a) {
    station.gradient[a] += at.jacobian.col(a).dot(at.residuals);
    for (int b = a; b < width_of_station_; ++b)
      station.normal(b, a) += at.jacobian.col(a).dot(at.jacobian.col(b));
  }
  const auto& [reduced, of_group] = columns_[index];
  for (int a = 0; a < shared_width; ++a) {
    if (reduced[a] < 0) continue;
    const auto by_shared = at.jacobian.col(station_width + a);
    double* const coupling = &group.coupling(row, of_group[a]);
    for (int b = 0; b < width_of_station_; ++b) coupling[b] += by_shared.dot(at.jacobian.col(b));
    half.gradient[reduced[a]] += by_shared.dot(at.residuals);
    double* const column = &half.sum(0, reduced[a]);
    for (int b = a; b < shared_width; ++b)
      if (reduced[b] >= 0) column[reduced[b]] += by_shared.dot(at.jacobian.col(station_width + b));
  }
}

void NormalEquations::count(double miss) {
  squares_ += miss * miss;
  ++residuals_;
}

void NormalEquations::expect(int column, double miss, double sigma) {
  if (column < 0 || sigma <= 0.0) return;
  reduced_(column, column) += 1.0 / (sigma * sigma);
  reduced_gradient_[column] += miss / (sigma * sigma);
  count(miss / sigma);
}

void NormalEquations::add_distances() {
  for (const BundleDistance& distance : bundle_.distances) {
    const Eigen::Vector3d apart_mm = bundle_.targets[distance.to_target].network_from_target.translation_mm -
                                     bundle_.targets[distance.from_target].network_from_target.translation_mm;
    const Eigen::Vector3d gradient = apart_mm.normalized() / distance.sigma_mm;
    const double miss = (apart_mm.norm() - distance.length_mm) / distance.sigma_mm;
    const std::array<std::pair<int, double>, 2> ends{
        {{layout_.target[distance.from_target], -1.0}, {layout_.target[distance.to_target], 1.0}}};
    for (const auto& [row, row_sign] : ends) {
      if (row < 0) continue;
      reduced_gradient_.segment<3>(row) += row_sign * miss * gradient;
      for (const auto& [column, column_sign] : ends)
        if (column >= 0 && column <= row)
          reduced_.block<3, 3>(row, column) += row_sign * column_sign * gradient * gradient.transpose();
    }
    count(miss);
  }
}

void NormalEquations::add_calibration(std::size_t index) {
  const BundleLens& lens = bundle_.lenses[index];
  const auto& column = layout_.lens[index];
  if (std::all_of(column.begin(), column.end(), [](int c) { return c < 0; })) return;
  const Eigen::MatrixXd whitening = lens.square_root_of_knowledge();
  const Eigen::MatrixXd information = whitening.transpose() * whitening;
  Eigen::VectorXd difference(lens_parameter_count);
  for (int a = 0; a < lens_parameter_count; ++a)
    difference[a] = lens.lens.values[a] - lens.expected.values[a];
  const Eigen::VectorXd gradient = information * difference;
  for (int a = 0; a < lens_parameter_count; ++a) {
    if (column[a] < 0) continue;
    reduced_gradient_[column[a]] += gradient[a];
    for (int b = a; b < lens_parameter_count; ++b)
      if (column[b] >= 0) reduced_(column[b], column[a]) += information(b, a);
  }
  const Eigen::VectorXd misses = whitening * difference;
  for (const double miss : misses) count(miss);
}

void NormalEquations::add_shifts(StationGroup& group, Eigen::Index place) {
  StationEquations& station = stations_[group.stations[place]];
  const PhotoShift& shift = bundle_.stations[group.stations[place]].shift;
  for (int k = 0; k < photo_shift_count; ++k) {
    const double sigma = bundle_.shift_sigma[k];
    const int at = first_shift + k;
    if (sigma > 0.0) {
      const double miss = shift[k] / sigma;
      station.normal(at, at) += 1.0 / (sigma * sigma);
      station.gradient[at] += miss / sigma;
      count(miss);
    } else {  // held: decoupled from the rest, with no variance of its own
      station.normal.row(at).setZero();
      station.normal.col(at).setZero();
      station.normal(at, at) = 1e30;
      station.gradient[at] = 0.0;
      if (at < width_of_station_) group.coupling.row(width_of_station_ * place + at).setZero();
    }
  }
}

void NormalEquations::add_expectations() {
  for (std::size_t i = 0; i < bundle_.sizes.size(); ++i)
    expect(layout_.size[i], bundle_.sizes[i].factor - 1.0, bundle_.sizes[i].expected_sigma);
  for (std::size_t i = 0; i < bundle_.lenses.size(); ++i) {
    const BundleLens& lens = bundle_.lenses[i];
    if (lens.calibrated()) {
      add_calibration(i);
      continue;
    }
    for (int k = 0; k < lens_parameter_count; ++k)
      expect(layout_.lens[i][k], lens.lens.values[k] - lens.expected.values[k], lens.expected_sigma[k]);
  }
  for (StationGroup& group : groups_)
    for (std::size_t i = 0; i < group.stations.size(); ++i) add_shifts(group, static_cast<Eigen::Index>(i));
}

bool NormalEquations::whiten(StationGroup& group, double damping) {
  group.whitened_coupling = group.coupling;
  group.whitened_gradient.resize(group.coupling.rows());
  for (std::size_t i = 0; i < group.stations.size(); ++i) {
    StationEquations& station = stations_[group.stations[i]];
    StationMatrix damped = station.normal;
    damped.diagonal() *= 1.0 + damping;
    station.factor.compute(damped);
    if (station.factor.info() != Eigen::Success) return false;
    if (width_of_station_ == station_width)
      whiten_rows<station_width>(station, static_cast<Eigen::Index>(i), group);
    else
      whiten_rows<first_shift>(station, static_cast<Eigen::Index>(i), group);
  }
  return true;
}

template <int width>
void NormalEquations::whiten_rows(const StationEquations& station, Eigen::Index place,
                                  StationGroup& group) const {
  const Eigen::Matrix<double, width, width> factor =
      station.factor.matrixLLT().template topLeftCorner<width, width>();
  const auto lower = factor.template triangularView<Eigen::Lower>();
  auto own_rows = group.whitened_coupling.template middleRows<width>(width * place);
  lower.solveInPlace(own_rows);
  group.whitened_gradient.template segment<width>(width * place) =
      lower.solve(station.gradient.template head<width>());
}

void NormalEquations::eliminate(const StationGroup& group, HalfOfGroups& half) const {
  const auto width = static_cast<Eigen::Index>(group.columns.size());
  auto product = half.of_one_group.topLeftCorner(width, width);
  product.triangularView<Eigen::Lower>() = group.whitened_coupling.transpose() * group.whitened_coupling;
  const Eigen::VectorXd gradient = group.whitened_coupling.transpose() * group.whitened_gradient;
  for (Eigen::Index b = 0; b < width; ++b) {
    half.gradient[group.columns[b]] += gradient[b];
    double* const to = &half.sum(0, group.columns[b]);
    const double* const from = &half.of_one_group(0, b);
    for (Eigen::Index a = b; a < width; ++a) to[group.columns[a]] += from[a];
  }
}

bool NormalEquations::factor(double damping) {
  damping_ = damping;
  factored_ = false;
  in_halves(eliminating_, [&](HalfOfGroups& half) {
    half.sum.setZero();
    half.gradient.setZero();
    half.determined = true;
    for (std::size_t i = half.begin; i < half.end && half.determined; ++i) {
      half.determined = whiten(groups_[i], damping);
      if (half.determined) eliminate(groups_[i], half);
    }
  });
  eliminated_ = reduced_ - halves_[0].sum - halves_[1].sum;
  eliminated_.diagonal() += damping * reduced_.diagonal();
  eliminated_gradient_ = reduced_gradient_ - halves_[0].gradient - halves_[1].gradient;
  if (!halves_[0].determined || !halves_[1].determined) return false;
  factor_.compute(eliminated_);
  factored_ = factor_.info() == Eigen::Success;
  return factored_;
}

AdjustmentStep NormalEquations::step() const {
  AdjustmentStep step;
  step.rest = factor_.solve(-eliminated_gradient_);
  double downhill = -step.rest.dot(reduced_gradient_);
  double damped = step.rest.cwiseAbs2().dot(reduced_.diagonal());
  step.stations.assign(stations_.size(), StationVector::Zero());
  for (const StationGroup& group : groups_) {
    const Eigen::VectorXd whitened =
        -group.whitened_gradient - group.whitened_coupling * step.rest(group.columns);
    for (std::size_t i = 0; i < group.stations.size(); ++i) {
      const StationEquations& station = stations_[group.stations[i]];
      StationVector& own = step.stations[group.stations[i]];
      own.setZero();
      own.head(width_of_station_) =
          whitened.segment(static_cast<Eigen::Index>(width_of_station_ * i), width_of_station_);
      station.factor.matrixU().solveInPlace(own);
      downhill -= own.dot(station.gradient);
      damped += own.cwiseAbs2().dot(station.normal.diagonal());
    }
  }
  step.expected_gain = 0.5 * (downhill + damping_ * damped);
  return step;
}

void NormalEquations::apply(const AdjustmentStep& step, Bundle& bundle) const {
  for (std::size_t i = 0; i < stations_.size(); ++i) {
    if (stations_[i].observations.empty()) continue;
    BundleStation& station = bundle.stations[i];
    const StationVector& by = step.stations[i];
    station.camera_from_network = turned(station.camera_from_network, by.head<3>(), by.segment<3>(3));
    for (int k = 0; k < photo_shift_count; ++k) station.shift[k] += by[first_shift + k];
  }
  for (std::size_t i = 0; i < layout_.target.size(); ++i) {
    const int at = layout_.target[i];
    if (at < 0) continue;
    RigidTransform& pose = bundle.targets[i].network_from_target;
    pose = turned(pose, step.rest.segment<3>(at + 3), step.rest.segment<3>(at));
  }
  for (std::size_t i = 0; i < layout_.size.size(); ++i)
    if (layout_.size[i] >= 0) bundle.sizes[i].factor += step.rest[layout_.size[i]];
  for (std::size_t i = 0; i < layout_.lens.size(); ++i)
    for (int k = 0; k < lens_parameter_count; ++k)
      if (layout_.lens[i][k] >= 0) bundle.lenses[i].lens.values[k] += step.rest[layout_.lens[i][k]];
}

}  // namespace pivotfix
