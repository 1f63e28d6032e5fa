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
    table[grey] = static_cast<float>(tone_curve ? light : coded);
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
  std::vector<double> inner_reach_px{};
  std::vector<double> outer_reach_px{};
  void leave_out_bin() {
    inner_reach_px.push_back(-1.0);
    outer_reach_px.push_back(-1.0);
  }
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
  const int stride = wish.coarse ? std::max(1, plan.count / enough_when_coarse) : 1;
  for (int i = 0; i < plan.count; ++i) {
    if (i % stride != stride / 2) {
      plan.leave_out_bin();
      continue;
    }
    const double middle_px = plan.margin_px + (i + 0.5) / plan.bins_per_px;
    plan.inner_reach_px.push_back(std::min(wish.reach_px, inner_share * frame.inner_width_at(middle_px)));
    plan.outer_reach_px.push_back(
        std::min({wish.reach_px, wish.outer_reach_px, outer_share * frame.outer_width_at(middle_px)}));
  }
  return plan;
}

// The pixels of a strip, handed to their bins.
class BinFiller {
 public:
  BinFiller(const BinPlan& plan, EdgeStrip& strip)
      : plan_(plan),
        room_(room_of(plan)),
        sum_along_px_(plan.inner_reach_px.size()),
        count_(sum_along_px_.size()),
        strip_(strip) {
    strip_.across_px.resize(room_ * count_.size());
    strip_.light.resize(room_ * count_.size());
  }

  void add(double along_px, double across_px, float light) {
    const double place = (along_px - plan_.margin_px) * plan_.bins_per_px;
    if (place < 0.0 || place >= plan_.count) return;
    const auto bin = static_cast<std::size_t>(place);
    if (across_px < -plan_.inner_reach_px[bin] || across_px > plan_.outer_reach_px[bin]) return;
    if (count_[bin] == room_) return;
    const std::size_t at = room_ * bin + count_[bin]++;
    sum_along_px_[bin] += along_px;
    strip_.across_px[at] = static_cast<float>(across_px);
    strip_.light[at] = light;
  }
  std::size_t first_pixel(std::size_t bin) const { return room_ * bin; }
  std::size_t count(std::size_t bin) const { return count_[bin]; }
  double mean_along_px(std::size_t bin) const {
    return sum_along_px_[bin] / static_cast<double>(count_[bin]);
  }

 private:
  // A convex region has at most area + half of the way round it + 1 points of a square grid (by Pick's
  // theorem).
  static std::size_t room_of(const BinPlan& plan) {
    const double pixels = (1.0 / plan.bins_per_px + 1.0) * (2.0 * plan.farthest_px() + 1.0);
    return (static_cast<std::size_t>(pixels) / EdgeStrip::group + 1) * EdgeStrip::group;
  }

  const BinPlan& plan_;
  std::size_t room_;  // for each bin
  std::vector<double> sum_along_px_;
  std::vector<std::size_t> count_;
  EdgeStrip& strip_;
};

// Walks the coordinate along which the edge is longer; in each column (or row) visits the pixels near the
// line.
void visit_pixels_near(const GreyPicture& picture, const EdgeFrame& frame, double far_px,
                       const LightTable& light_of_grey, BinFiller& bins) {
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
  for (int m = first; m <= last; ++m) {
    const double from_start = m - start_major;
    const double on_line = start_minor + slope * from_start;
    const int low = std::max(0, static_cast<int>(std::ceil(on_line - half_height)));
    const int high = std::min(size[minor] - 1, static_cast<int>(std::floor(on_line + half_height)));
    const std::uint8_t* grey = picture.grey.data() + static_cast<std::size_t>(m) * step[major];
    for (int n = low; n <= high; ++n) {
      const double along_px = from_start * frame.along(major) + (n - start_minor) * frame.along(minor);
      const double across_px = from_start * frame.outward(major) + (n - start_minor) * frame.outward(minor);
      bins.add(along_px, across_px, light_of_grey[grey[static_cast<std::size_t>(n) * step[minor]]]);
    }
  }
}

}  // namespace

EdgeStrip collect_strip(const GreyPicture& picture, const EdgeFrame& frame, const StripWish& wish,
                        const LightTable& light_of_grey) {
  constexpr std::size_t fewest_pixels = 3;
  const BinPlan plan = plan_bins(frame, wish);
  EdgeStrip strip;
  BinFiller filler(plan, strip);
  visit_pixels_near(picture, frame, plan.farthest_px(), light_of_grey, filler);
  for (int i = 0; i < plan.count; ++i) {
    const auto number = static_cast<std::size_t>(i);
    if (filler.count(number) < fewest_pixels) continue;
    const double middle_px = plan.margin_px + (i + 0.5) / plan.bins_per_px;
    EdgeBin& bin = strip.bins.emplace_back();
    bin.along_px = filler.mean_along_px(number);
    bin.inner_width_px = frame.inner_width_at(middle_px);
    bin.inner_white = frame.inner_white_at(middle_px, wish.blur_px);
    bin.inner_reach_px = plan.inner_reach_px[number];
    bin.first_pixel = filler.first_pixel(number);
    bin.pixel_count = filler.count(number);
  }
  return strip;
}

}  // namespace pivotfix
