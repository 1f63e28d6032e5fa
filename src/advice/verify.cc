// SPDX-License-Identifier: Apache-2.0
// Hardpoints with their covariance and toe readings with theirs are one least-squares problem (generalised
// least squares, which for normal errors is Bayes' rule); iterated because toe is not quite linear in the
// hardpoints. What all readings of a source have in common - where the rack's zero lies, how the photos' axes
// are turned - drops out by taking differences from its first reading.
#include "advice/verify.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <limits>

#include "advice/height.h"
#include "base/chi_square.h"
#include "base/problem.h"
#include "base/units.h"
#include "corner/camber.h"

namespace pivotfix {
namespace {

constexpr int rounds = 5;  // each one gains two digits or more
constexpr double least_probability = 0.01;
constexpr double different_travel_mm = 1.0;

using Index = Eigen::Index;

// Toe change from ride height at every reading, and its derivatives.
struct Prediction {
  Eigen::VectorXd change_rad{};
  Eigen::VectorXd per_travel_rad_mm{};
  Eigen::MatrixXd by_coordinate{};
  Eigen::VectorXd by_camber_rad{};  // for one standard uncertainty of camber
};

Prediction predict(const Corner& corner, const std::vector<ToeReading>& readings) {
  const Index n = static_cast<Index>(readings.size());
  Prediction result{Eigen::VectorXd(n), Eigen::VectorXd(n),
                    Eigen::MatrixXd(n, static_cast<Index>(3 * corner.points.size())), Eigen::VectorXd(n)};
  for (Index i = 0; i < n; ++i) {
    const double travel_mm = readings[static_cast<std::size_t>(i)].travel_mm;
    const Curve curve = solve_curve(corner, {std::max(0.0, travel_mm), std::max(0.0, -travel_mm)}, 10.0);
    const CornerState& state = travel_mm < 0.0 ? curve.states.front() : curve.states.back();
    if (std::abs(state.travel_mm - travel_mm) > 1e-9)
      throw Problem(ProblemKind::input,
                    "A toe reading at " + format_length(travel_mm, LengthUnit::millimetre, 1) +
                        " of travel cannot be. " + curve.ended_early,
                    "Correct the travel of the reading, or the hardpoints.");
    result.change_rad[i] = state.toe_rad - corner.wheel.toe_rad;
    result.per_travel_rad_mm[i] = state.toe_per_travel_rad_mm;
    const StateDerivatives slopes = derivatives(corner, state);
    result.by_coordinate.row(i) = slopes.toe_by_coordinate.transpose();
    result.by_camber_rad[i] = slopes.toe_by_camber * camber_sigma_rad(corner.wheel);
  }
  return result;
}

// The first reading of the same source.
std::size_t first_of_source(const std::vector<ToeReading>& readings, bool from_photos) {
  const auto first = std::find_if(readings.begin(), readings.end(), [&](const ToeReading& reading) {
    return reading.from_photos == from_photos;
  });
  return static_cast<std::size_t>(first - readings.begin());
}

// Rows that subtract the first reading of each source from the others of it.
Eigen::MatrixXd differences(const std::vector<ToeReading>& readings) {
  const Index n = static_cast<Index>(readings.size());
  Eigen::MatrixXd rows(n, n);
  Index count = 0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const std::size_t first = first_of_source(readings, readings[i].from_photos);
    if (first == i) continue;
    rows.row(count).setZero();
    rows(count, static_cast<Index>(i)) = 1.0;
    rows(count++, static_cast<Index>(first)) = -1.0;
  }
  return rows.topRows(count);
}

Eigen::VectorXd coordinates(const Corner& corner) {
  Eigen::VectorXd all(static_cast<Index>(3 * corner.points.size()));
  for (std::size_t i = 0; i < corner.points.size(); ++i)
    all.segment<3>(static_cast<Index>(3 * i)) = corner.points[i].position_vehicle_mm;
  return all;
}

void set_coordinates(Corner& corner, const Eigen::VectorXd& all) {
  for (std::size_t i = 0; i < corner.points.size(); ++i)
    corner.points[i].position_vehicle_mm = all.segment<3>(static_cast<Index>(3 * i));
}

Eigen::VectorXd reading_variances(const Prediction& prediction, const std::vector<ToeReading>& readings) {
  Eigen::VectorXd variances(prediction.change_rad.size());
  for (Index i = 0; i < variances.size(); ++i) {
    const ToeReading& reading = readings[static_cast<std::size_t>(i)];
    variances[i] = std::pow(reading.sigma_rad, 2) +
                   std::pow(reading.travel_sigma_mm * prediction.per_travel_rad_mm[i], 2);
  }
  return variances;
}

// Covariance of the readings' differences: their own errors, and that of camber, which all of them share.
// What readings tell of camber itself is left aside.
Eigen::MatrixXd noise_of(const Prediction& prediction, const std::vector<ToeReading>& readings,
                         const Eigen::MatrixXd& rows) {
  const Eigen::VectorXd by_camber = rows * prediction.by_camber_rad;
  Eigen::MatrixXd noise = rows * reading_variances(prediction, readings).asDiagonal() * rows.transpose();
  noise += by_camber * by_camber.transpose();
  return noise;
}

Eigen::VectorXd toe_of(const std::vector<ToeReading>& readings) {
  Eigen::VectorXd toe_rad(static_cast<Index>(readings.size()));
  for (std::size_t i = 0; i < readings.size(); ++i) toe_rad[static_cast<Index>(i)] = readings[i].toe_rad;
  return toe_rad;
}

Corner refined(const Corner& before, const std::vector<ToeReading>& readings) {
  const Eigen::VectorXd measured = toe_of(readings);
  const Eigen::MatrixXd rows = differences(readings);
  const Eigen::MatrixXd noise = noise_of(predict(before, readings), readings, rows);
  const Eigen::MatrixXd& covariance = before.covariance_mm2;
  const Eigen::VectorXd start = coordinates(before);
  Corner after = before;
  Eigen::MatrixXd gain;
  Eigen::MatrixXd slopes;
  for (int round = 0; round < rounds; ++round) {
    const Prediction prediction = predict(after, readings);
    slopes = rows * prediction.by_coordinate;
    const Eigen::MatrixXd total = slopes * covariance * slopes.transpose() + noise;
    gain = (total.ldlt().solve(slopes * covariance)).transpose();
    const Eigen::VectorXd surprise =
        rows * (measured - prediction.change_rad) - slopes * (start - coordinates(after));
    set_coordinates(after, start + gain * surprise);
  }
  const Index n = covariance.rows();
  const Eigen::MatrixXd left = Eigen::MatrixXd::Identity(n, n) - gain * slopes;
  after.covariance_mm2 = left * covariance * left.transpose() + gain * noise * gain.transpose();  // Joseph
  return after;
}

bool say_how_toe_changes(const std::vector<ToeReading>& readings) {
  for (const ToeReading& one : readings)
    for (const ToeReading& other : readings)
      if (one.from_photos == other.from_photos && one.travel_mm - other.travel_mm >= different_travel_mm)
        return true;
  return false;
}

// Of these, what is new to the hardpoints; none when that says nothing of how toe changes.
std::vector<ToeReading> to_work_in(std::vector<ToeReading> readings) {
  std::erase_if(readings, [](const ToeReading& reading) { return reading.only_compared; });
  if (!say_how_toe_changes(readings)) readings.clear();
  return readings;
}

void check(const std::vector<ToeReading>& readings) {
  if (!say_how_toe_changes(readings))
    throw Problem(ProblemKind::input, "Toe read at one height of the wheel says nothing of toe change.",
                  "Read it at ride height and one inch up at least.");
  for (const ToeReading& reading : readings)
    if (!(reading.sigma_rad > 0.0 && reading.travel_sigma_mm >= 0.0 && std::isfinite(reading.toe_rad)))
      throw Problem(ProblemKind::input, "The uncertainty of a toe reading must be more than zero.",
                    "Read it three times: half the spread is a fair number.");
}

// What all readings of a source have in common. When they do not go together with the hardpoints it is taken
// at the reading nearest to ride height, as one would on paper.
double common_offset(const Eigen::VectorXd& residuals, const Eigen::VectorXd& variances,
                     const std::vector<ToeReading>& readings, bool from_photos, bool refined_together) {
  double sum = 0.0, weights = 0.0, nearest_mm = std::numeric_limits<double>::infinity(), nearest = 0.0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (readings[i].from_photos != from_photos) continue;
    const Index row = static_cast<Index>(i);
    sum += residuals[row] / variances[row];
    weights += 1.0 / variances[row];
    if (!(std::abs(readings[i].travel_mm) < nearest_mm)) continue;
    nearest_mm = std::abs(readings[i].travel_mm);
    nearest = residuals[row];
  }
  return refined_together ? sum / weights : nearest;
}

double sigma_of_toe(const Prediction& prediction, Index i, const Corner& corner) {
  if (corner.covariance_mm2.size() == 0) return 0.0;
  return std::hypot(sigma_of(prediction.by_coordinate.row(i), corner.covariance_mm2),
                    prediction.by_camber_rad[i]);
}

void fill_readings(const Corner& before, const Corner& after, const std::vector<ToeReading>& readings,
                   Verification& verification) {
  const Eigen::VectorXd measured = toe_of(readings);
  const Prediction predicted = predict(before, readings);
  const Eigen::VectorXd variances = reading_variances(predicted, readings);
  const Prediction best = predict(after, readings);
  for (Index i = 0; i < measured.size(); ++i) {
    const ToeReading& reading = readings[static_cast<std::size_t>(i)];
    const double offset = common_offset(measured - best.change_rad, variances, readings, reading.from_photos,
                                        verification.refined);
    ReadingCheck check{reading, measured[i] - offset, std::sqrt(variances[i]), {}, {}};
    check.predicted_change_rad = {predicted.change_rad[i], sigma_of_toe(predicted, i, before)};
    check.refined_change_rad = {best.change_rad[i], sigma_of_toe(best, i, after)};
    verification.readings.push_back(check);
  }
}

// How well these go together with the hardpoints, if less well than what was judged before.
void judge(const Corner& corner, const std::vector<ToeReading>& readings, Verification& verification) {
  const Prediction prediction = predict(corner, readings);
  const Eigen::MatrixXd rows = differences(readings);
  const Eigen::VectorXd surprise = rows * (toe_of(readings) - prediction.change_rad);
  const Eigen::MatrixXd slopes = rows * prediction.by_coordinate;
  const Eigen::MatrixXd total =
      slopes * corner.covariance_mm2 * slopes.transpose() + noise_of(prediction, readings, rows);
  const double chi_square = surprise.dot(total.ldlt().solve(surprise));
  const int freedom = static_cast<int>(rows.rows());
  const double probability = chi_square_probability(chi_square, freedom);
  if (verification.degrees_of_freedom > 0 && probability >= verification.probability) return;
  verification.chi_square = chi_square;
  verification.degrees_of_freedom = freedom;
  verification.probability = probability;
}

// Readings from a rack by themselves, and by themselves those that rest on the hardpoints' own motion, which
// would pass for more than they say; the worse of both is told.
void judge_by_source(const Corner& corner, const std::vector<ToeReading>& readings,
                     const std::vector<ToeReading>& independent, Verification& verification) {
  std::vector<ToeReading> others = readings;
  if (!independent.empty()) {
    judge(corner, independent, verification);
    std::erase_if(others, [](const ToeReading& reading) { return !reading.only_compared; });
  }
  if (say_how_toe_changes(others)) judge(corner, others, verification);
  verification.consistent = verification.probability > least_probability;
}

Uncertain height_of(const Corner& corner, const Driving& driving) {
  const BestHeight best = best_height(corner, driving);
  return {best.height_mm, std::hypot(best.sigma_mm, height_sigma_by_camber_mm(corner, driving, best))};
}

}  // namespace

VerifiedCorner verify(const Corner& corner, const Driving& driving, const std::vector<ToeReading>& readings) {
  check(readings);
  VerifiedCorner result{corner, {}};
  Verification& verification = result.verification;
  verification.height_before_mm = height_of(corner, driving);
  verification.height_refined_mm = verification.height_before_mm;
  if (corner.covariance_mm2.size() > 0) {
    const std::vector<ToeReading> independent = to_work_in(readings);
    judge_by_source(corner, readings, independent, verification);
    if (verification.consistent && !independent.empty()) {
      result.corner = refined(corner, independent);
      verification.refined = true;
      verification.height_refined_mm = height_of(result.corner, driving);
    }
  }
  fill_readings(corner, result.corner, readings, verification);
  return result;
}

}  // namespace pivotfix
