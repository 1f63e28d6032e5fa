// SPDX-License-Identifier: Apache-2.0
#include "tags/edge_strip.h"

#include <algorithm>
#include <cmath>

#include "tags/normal_table.h"

namespace pivotfix {
namespace {

// Cell coordinates of a point on edge k: `x` cells from corner k, `depth` cells into the tag.
Eigen::Vector2d cell_place(int k, double x, double depth) {
  constexpr double n = tag_cells;
  switch (k) {
    case 0:
      return {x, n - depth};
    case 1:
      return {n - depth, n - x};
    case 2:
      return {n - x, depth};
    default:
      return {depth, x};
  }
}

EdgeFrame make_frame(const TagCorners& corner_px, int k, const Homography& homography,
                     const std::array<std::array<bool, tag_cells>, tag_cells>& black) {
  EdgeFrame frame;
  frame.start_px = corner_px[k];
  const Eigen::Vector2d whole = corner_px[(k + 1) % 4] - corner_px[k];
  frame.length_px = whole.norm();
  frame.along = whole / frame.length_px;
  frame.outward = {-frame.along.y(), frame.along.x()};
  const auto in_frame = [&](double x, double depth) {
    const Eigen::Vector2d cell = cell_place(k, x, depth);
    const Eigen::Vector2d from_start = homography.picture_from_cells(cell.x(), cell.y()) - frame.start_px;
    return Eigen::Vector2d(from_start.dot(frame.along), from_start.dot(frame.outward));
  };
  for (int i = 0; i <= tag_cells; ++i) {
    frame.end_along_px[i] = in_frame(i, 0.0).x();
    const Eigen::Vector2d inner = in_frame(i, 1.0);
    frame.inner_along_px[i] = inner.x();
    frame.inner_width_px[i] = -inner.y();
    frame.outer_width_px[i] = in_frame(i, -1.0).y();
  }
  for (int i = 0; i < tag_cells; ++i) {
    const Eigen::Vector2d cell = cell_place(k, i + 0.5, 1.5);
    frame.inner_cell_white[i] = !black[static_cast<int>(cell.y())][static_cast<int>(cell.x())];
  }
  return frame;
}

}  // namespace

double EdgeFrame::interpolate(const std::array<double, tag_cells + 1>& values, double along_px) const {
  int i = 1;
  while (i < tag_cells && along_px > end_along_px[i]) ++i;
  const double share = (along_px - end_along_px[i - 1]) / (end_along_px[i] - end_along_px[i - 1]);
  return values[i - 1] + share * (values[i] - values[i - 1]);
}

double EdgeFrame::inner_white_at(double along_px, double blur_px) const {
  const NormalTable& normal = NormalTable::instance();
  double white = 0.0;
  for (int i = 0; i < tag_cells; ++i) {
    if (!inner_cell_white[i]) continue;
    white += normal.at((along_px - inner_along_px[i]) / blur_px).share -
             normal.at((along_px - inner_along_px[i + 1]) / blur_px).share;
  }
  return white;
}

namespace {

LightTable make_light_table(bool tone_curve) {
  LightTable table{};
  for (int grey = 0; grey < 256; ++grey) {
    const double coded = grey / 255.0;
    const double light = coded <= 0.04045 ? coded / 12.92 : std::pow((coded + 0.055) / 1.055, 2.4);
    table[grey] = tone_curve ? light : coded;
  }
  return table;
}

}  // namespace

const LightTable& light_table(bool tone_curve) {
  static const LightTable curved = make_light_table(true);
  static const LightTable straight = make_light_table(false);
  return tone_curve ? curved : straight;
}

std::array<EdgeFrame, 4> edge_frames(const TagCorners& corner_px, int tag_number) {
  const Homography homography(corner_px);
  const auto black = tag_pattern(tag_number);
  std::array<EdgeFrame, 4> frames;
  for (int k = 0; k < 4; ++k) frames[k] = make_frame(corner_px, k, homography, black);
  return frames;
}

std::vector<EdgeBin> collect_bins(const GreyPicture& picture, const EdgeFrame& frame, double blur_px,
                                  double reach_px, const LightTable& light_of_grey) {
  constexpr double bin_length_px = 3.0;
  constexpr int most_bins = 64;
  constexpr double inner_share =
      0.80;  // of the border's width: the white cells beyond are modelled, not known exactly
  constexpr double outer_share = 0.80;  // of a cell of paper: what lies beyond is not known
  // Within this of a corner the neighbouring edge's blur is felt.
  const double margin_px = std::min(2.5 * blur_px + 0.5, 0.14 * frame.length_px);
  const double used_px = frame.length_px - 2.0 * margin_px;
  const int bin_count = std::clamp(static_cast<int>(std::lround(used_px / bin_length_px)), 6, most_bins);

  std::vector<EdgeBin> bins(static_cast<std::size_t>(bin_count));
  std::vector<double> inner_reach(bins.size());
  std::vector<double> outer_reach(bins.size());
  for (int i = 0; i < bin_count; ++i) {
    const double middle = margin_px + (i + 0.5) * used_px / bin_count;
    bins[i].inner_width_px = frame.inner_width_at(middle);
    bins[i].inner_white = frame.inner_white_at(middle, blur_px);
    inner_reach[i] = std::min(reach_px, inner_share * bins[i].inner_width_px);
    outer_reach[i] = std::min(reach_px, outer_share * frame.outer_width_at(middle));
    bins[i].pixels.reserve(
        static_cast<std::size_t>((inner_reach[i] + outer_reach[i] + 2.0) * used_px / bin_count) + 8);
  }

  const double far = std::max(*std::max_element(inner_reach.begin(), inner_reach.end()),
                              *std::max_element(outer_reach.begin(), outer_reach.end()));
  // Walk the longer coordinate of the edge; in each column (or row) visit the pixels near the line.
  const int major = std::abs(frame.along.x()) >= std::abs(frame.along.y()) ? 0 : 1;
  const int minor = 1 - major;
  const std::array<int, 2> size{picture.width_px, picture.height_px};
  const Eigen::Vector2d end_px = frame.start_px + frame.length_px * frame.along;
  const double slope = frame.along(minor) / frame.along(major);
  const double half_height = far / std::abs(frame.along(major));
  const double slack = far;
  const int first =
      std::max(0, static_cast<int>(std::ceil(std::min(frame.start_px(major), end_px(major)) - slack)));
  const int last = std::min(
      size[major] - 1, static_cast<int>(std::floor(std::max(frame.start_px(major), end_px(major)) + slack)));
  for (int m = first; m <= last; ++m) {
    const double on_line = frame.start_px(minor) + slope * (m - frame.start_px(major));
    const int low = std::max(0, static_cast<int>(std::ceil(on_line - half_height)));
    const int high = std::min(size[minor] - 1, static_cast<int>(std::floor(on_line + half_height)));
    for (int n = low; n <= high; ++n) {
      const Eigen::Vector2d pixel = major == 0 ? Eigen::Vector2d(m, n) : Eigen::Vector2d(n, m);
      const Eigen::Vector2d from_start = pixel - frame.start_px;
      const double place = (from_start.dot(frame.along) - margin_px) * bin_count / used_px;
      if (place < 0.0 || place >= bin_count) continue;
      const int i = static_cast<int>(place);
      const double across = from_start.dot(frame.outward);
      if (across < -inner_reach[i] || across > outer_reach[i]) continue;
      const std::size_t index =
          static_cast<std::size_t>(pixel.y()) * picture.width_px + static_cast<std::size_t>(pixel.x());
      bins[i].pixels.push_back({across, light_of_grey[picture.grey[index]]});
      bins[i].along_px += from_start.dot(frame.along);
    }
  }
  std::erase_if(bins, [](const EdgeBin& bin) { return bin.pixels.size() < 3; });
  for (EdgeBin& bin : bins) bin.along_px /= static_cast<double>(bin.pixels.size());
  return bins;
}

}  // namespace pivotfix
