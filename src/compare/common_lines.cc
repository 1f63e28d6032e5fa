// SPDX-License-Identifier: Apache-2.0
#include "compare/common_lines.h"

#include <algorithm>
#include <numeric>
#include <set>

#include "hardpoints/open_lines.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;

Index first_row(std::size_t pivot) {
  return static_cast<Index>(3 * pivot);
}

Vector3d line_mm(const std::vector<Vector3d>& pivots_mm, const CommonLine& line) {
  return pivots_mm[line.through] - pivots_mm[line.pivot];
}

// Of the pivots that are on none of the lines.
Vector3d middle_mm(const std::vector<Vector3d>& pivots_mm, const std::vector<CommonLine>& lines) {
  Vector3d sum_mm = Vector3d::Zero();
  double count = 0.0;
  for (std::size_t i = 0; i < pivots_mm.size(); ++i)
    if (std::none_of(lines.begin(), lines.end(), [&](const CommonLine& line) { return line.pivot == i; })) {
      sum_mm += pivots_mm[i];
      count += 1.0;
    }
  return count > 0.0 ? Vector3d(sum_mm / count) : sum_mm;
}

// The sense of a line is arbitrary: which of its pivots is ahead, each set decides for itself.
Vector3d in_the_sense_of(const Vector3d& sense, const Vector3d& direction) {
  return sense.dot(direction) < 0.0 ? Vector3d(-direction) : direction;
}

}  // namespace

std::vector<CommonLine> common_lines(const HardpointSet& before, const HardpointSet& after,
                                     const std::vector<std::string>& common_pivots) {
  std::set<std::string> line_only = pivots_on_line_only(before);
  line_only.merge(pivots_on_line_only(after));
  std::vector<CommonLine> lines;
  for (std::size_t i = 0; i < common_pivots.size(); ++i) {
    if (!line_only.contains(common_pivots[i])) continue;
    const std::string other = other_pivot_on_line(common_pivots[i]);
    const auto through = std::find(common_pivots.begin(), common_pivots.end(), other);
    if (through == common_pivots.end()) continue;
    const auto is_a_line = [&](const HardpointSet& set) {
      return set.position_vehicle_mm(common_pivots[i]) != set.position_vehicle_mm(other);
    };
    if (is_a_line(before) && is_a_line(after))
      lines.push_back({i, static_cast<std::size_t>(through - common_pivots.begin())});
  }
  return lines;
}

// All by the places that were measured: what slid first may be the other end of the next line.
PointCloud slid_to_the_first(const PointCloud& first, const std::vector<CommonLine>& lines,
                             PointCloud second) {
  const PointCloud measured = second;
  const Vector3d first_middle_mm = middle_mm(first.pivots_mm, lines);
  const Vector3d second_middle_mm = middle_mm(measured.pivots_mm, lines);
  const Index size = measured.covariance_mm2.rows();
  MatrixXd by_points = MatrixXd::Identity(size, size);
  for (const CommonLine& line : lines) {
    const Vector3d first_along = line_mm(first.pivots_mm, line).normalized();
    const Vector3d own_line_mm = line_mm(measured.pivots_mm, line);
    const Vector3d own_along = in_the_sense_of(first_along, own_line_mm.normalized());
    const double by_mm = first_along.dot(first.pivots_mm[line.pivot] - first_middle_mm) -
                         own_along.dot(measured.pivots_mm[line.pivot] - second_middle_mm);
    second.pivots_mm[line.pivot] += by_mm * own_along;
    if (size == 0) continue;
    const double share = by_mm * own_along.dot(own_line_mm) / own_line_mm.squaredNorm();
    slide(first_row(line.pivot), first_row(line.through), share, by_points);
  }
  if (size > 0) second.covariance_mm2 = by_points * measured.covariance_mm2 * by_points.transpose();
  return second;
}

std::vector<OpenDirection> open_directions(const PointCloud& first, const std::vector<CommonLine>& lines,
                                           const OverlaidPivots& overlaid) {
  std::vector<OpenDirection> open;
  for (const CommonLine& line : lines)
    open.push_back({line.pivot, (line_mm(first.pivots_mm, line).normalized() +
                                 line_mm(overlaid.pivots_mm, line).normalized())
                                    .normalized()});
  return open;
}

OverlaidPivots across(const std::vector<OpenDirection>& open, OverlaidPivots overlaid) {
  for (const OpenDirection& line : open) {
    Vector3d& shift_mm = overlaid.shift_mm[line.pivot];
    shift_mm -= line.along.dot(shift_mm) * line.along;
    if (overlaid.covariance_mm2.size() > 0)
      close_along(line.along, first_row(line.pivot), overlaid.covariance_mm2);
  }
  return overlaid;
}

// A place along a line that nobody said was touched is one more unknown.
TouchedShifts touched_across(const std::vector<OpenDirection>& open, const OverlaidPivots& overlaid,
                             const std::vector<TouchedPivot>& touched) {
  std::vector<TouchedPivot> unknown = touched;
  const auto touched_at = [&](std::size_t pivot) {
    return std::find_if(touched.begin(), touched.end(),
                        [&](const TouchedPivot& one) { return one.pivot == pivot; });
  };
  for (const OpenDirection& line : open)
    if (touched_at(line.pivot) == touched.end()) unknown.push_back({line.pivot, line.along});
  TouchedShifts shifts = touched_shifts(stacked(overlaid.shift_mm), overlaid.covariance_mm2, unknown);
  const auto row_of = [&](std::size_t place) {
    return std::accumulate(shifts.sizes.begin(), shifts.sizes.begin() + static_cast<std::ptrdiff_t>(place),
                           Index{0});
  };
  for (const OpenDirection& line : open) {
    const auto at = touched_at(line.pivot);
    if (at == touched.end()) continue;
    const Index row = row_of(static_cast<std::size_t>(at - touched.begin()));
    auto shift_mm = shifts.shift_mm.segment<3>(row);
    shift_mm -= (line.along.dot(shift_mm) * line.along).eval();
    close_along(line.along, row, shifts.covariance_mm2);
  }
  const Index rows = row_of(touched.size());
  shifts.shift_mm.conservativeResize(rows);
  shifts.covariance_mm2.conservativeResize(rows, rows);
  shifts.sizes.resize(touched.size());
  return shifts;
}

}  // namespace pivotfix
