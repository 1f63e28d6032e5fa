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

namespace {

// Where the bins of an edge lie and how far each reaches.
struct BinPlan {
  double margin_px = 0.0;
  double bins_per_px = 0.0;
  int count = 0;
  int stride = 1;  // bins between those that are wanted
  std::vector<double> inner_reach_px{};
  std::vector<double> outer_reach_px{};

  bool wanted(int bin) const { return bin % stride == stride / 2; }
  double farthest_px() const {
    return std::max(*std::max_element(inner_reach_px.begin(), inner_reach_px.end()),
                    *std::max_element(outer_reach_px.begin(), outer_reach_px.end()));
  }
};

BinPlan plan_bins(const EdgeFrame& frame, const StripWish& wish) {
  constexpr double bin_length_px = 3.0;
  constexpr int fewest_bins = 6;
  constexpr int most_bins = 64;
  constexpr int enough_when_coarse = 12;
  constexpr double inner_share =
      0.80;  // of the border's width: the white cells beyond are modelled, not known exactly
  constexpr double outer_share = 0.80;  // of a cell of paper: what lies beyond is not known
  BinPlan plan;
  // Within this of a corner the neighbouring edge's blur is felt.
  plan.margin_px = std::min(2.5 * wish.blur_px + 0.5, 0.14 * frame.length_px);
  const double used_px = frame.length_px - 2.0 * plan.margin_px;
  plan.count = std::clamp(static_cast<int>(std::lround(used_px / bin_length_px)), fewest_bins, most_bins);
  plan.bins_per_px = plan.count / used_px;
  if (wish.coarse) plan.stride = std::max(1, plan.count / enough_when_coarse);
  for (int i = 0; i < plan.count; ++i) {
    const double middle_px = plan.margin_px + (i + 0.5) / plan.bins_per_px;
    plan.inner_reach_px.push_back(std::min(wish.reach_px, inner_share * frame.inner_width_at(middle_px)));
    plan.outer_reach_px.push_back(std::min(wish.reach_px, outer_share * frame.outer_width_at(middle_px)));
  }
  return plan;
}

struct PixelOfBin {
  int bin = 0;
  double along_px = 0.0;
  EdgePixel pixel{};
};

// Walks the coordinate along which the edge is longer; in each column (or row) visits the pixels near the
// line.
std::vector<PixelOfBin> pixels_near(const GreyPicture& picture, const EdgeFrame& frame, const BinPlan& plan,
                                    const LightTable& light_of_grey) {
  const double far_px = plan.farthest_px();
  const int major = std::abs(frame.along.x()) >= std::abs(frame.along.y()) ? 0 : 1;
  const int minor = 1 - major;
  const std::array<int, 2> size{picture.width_px, picture.height_px};
  const std::array<std::size_t, 2> step{1, static_cast<std::size_t>(picture.width_px)};
  const double start_major = frame.start_px(major);
  const double start_minor = frame.start_px(minor);
  const double end_major = start_major + frame.length_px * frame.along(major);
  const double slope = frame.along(minor) / frame.along(major);
  const double half_height = far_px / std::abs(frame.along(major));
  const int first = std::max(0, static_cast<int>(std::ceil(std::min(start_major, end_major) - far_px)));
  const int last =
      std::min(size[major] - 1, static_cast<int>(std::floor(std::max(start_major, end_major) + far_px)));
  std::vector<PixelOfBin> pixels;
  pixels.reserve(static_cast<std::size_t>(std::max(0, last - first + 1) * (2.0 * half_height + 1.0)));
  for (int m = first; m <= last; ++m) {
    const double from_start = m - start_major;
    const double on_line = start_minor + slope * from_start;
    const int low = std::max(0, static_cast<int>(std::ceil(on_line - half_height)));
    const int high = std::min(size[minor] - 1, static_cast<int>(std::floor(on_line + half_height)));
    const std::uint8_t* grey = picture.grey.data() + static_cast<std::size_t>(m) * step[major];
    for (int n = low; n <= high; ++n) {
      const double along_px = from_start * frame.along(major) + (n - start_minor) * frame.along(minor);
      const double place = (along_px - plan.margin_px) * plan.bins_per_px;
      if (place < 0.0 || place >= plan.count) continue;
      const int bin = static_cast<int>(place);
      if (!plan.wanted(bin)) continue;
      const double across_px = from_start * frame.outward(major) + (n - start_minor) * frame.outward(minor);
      if (across_px < -plan.inner_reach_px[bin] || across_px > plan.outer_reach_px[bin]) continue;
      const std::uint8_t value = grey[static_cast<std::size_t>(n) * step[minor]];
      pixels.push_back({bin, along_px, {across_px, light_of_grey[value]}});
    }
  }
  return pixels;
}

}  // namespace

EdgeStrip collect_strip(const GreyPicture& picture, const EdgeFrame& frame, const StripWish& wish,
                        const LightTable& light_of_grey) {
  constexpr std::size_t fewest_pixels = 3;
  const BinPlan plan = plan_bins(frame, wish);
  const std::vector<PixelOfBin> found = pixels_near(picture, frame, plan, light_of_grey);
  std::vector<EdgeBin> bins(static_cast<std::size_t>(plan.count));
  for (const PixelOfBin& pixel : found) {
    ++bins[pixel.bin].pixel_count;
    bins[pixel.bin].along_px += pixel.along_px;
  }
  EdgeStrip strip;
  strip.pixels.resize(found.size());
  std::vector<std::size_t> next(bins.size());
  for (std::size_t i = 0, sum = 0; i < bins.size(); ++i) {
    EdgeBin& bin = bins[i];
    bin.first_pixel = next[i] = sum;
    sum += bin.pixel_count;
    if (bin.pixel_count < fewest_pixels) continue;
    const double middle_px = plan.margin_px + (static_cast<double>(i) + 0.5) / plan.bins_per_px;
    bin.along_px /= static_cast<double>(bin.pixel_count);
    bin.inner_width_px = frame.inner_width_at(middle_px);
    bin.inner_white = frame.inner_white_at(middle_px, wish.blur_px);
    strip.bins.push_back(bin);
  }
  for (const PixelOfBin& pixel : found) strip.pixels[next[pixel.bin]++] = pixel.pixel;
  return strip;
}

}  // namespace pivotfix
