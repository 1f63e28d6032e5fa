// SPDX-License-Identifier: Apache-2.0
#include "tags/candidates.h"

#include <opencv2/imgproc.hpp>

#include "tags/quad_shape.h"

namespace pivotfix {
namespace {

constexpr int tile_px = 4;
constexpr int least_range = 14;  // grey levels between dark and light near an edge

// Least and greatest grey value of each tile and its eight neighbours.
struct TileRange {
  cv::Mat least;
  cv::Mat greatest;
};

TileRange tile_ranges(const cv::Mat& grey) {
  const int rows = (grey.rows + tile_px - 1) / tile_px;
  const int columns = (grey.cols + tile_px - 1) / tile_px;
  TileRange range{cv::Mat(rows, columns, CV_8U, cv::Scalar(255)),
                  cv::Mat(rows, columns, CV_8U, cv::Scalar(0))};
  for (int y = 0; y < grey.rows; ++y) {
    const auto* from = grey.ptr<std::uint8_t>(y);
    auto* least = range.least.ptr<std::uint8_t>(y / tile_px);
    auto* greatest = range.greatest.ptr<std::uint8_t>(y / tile_px);
    for (int x = 0; x < grey.cols; ++x) {
      least[x / tile_px] = std::min(least[x / tile_px], from[x]);
      greatest[x / tile_px] = std::max(greatest[x / tile_px], from[x]);
    }
  }
  cv::erode(range.least, range.least, cv::Mat());
  cv::dilate(range.greatest, range.greatest, cv::Mat());
  return range;
}

// 255 where the pixel is dark among its surroundings, 0 where it is light or nothing is to be seen.
cv::Mat dark_mask(const cv::Mat& grey) {
  const TileRange range = tile_ranges(grey);
  cv::Mat dark(grey.size(), CV_8U);
  std::vector<std::uint8_t> limit(static_cast<std::size_t>(grey.cols));
  for (int y = 0; y < grey.rows; ++y) {
    if (y % tile_px == 0) {
      const auto* least = range.least.ptr<std::uint8_t>(y / tile_px);
      const auto* greatest = range.greatest.ptr<std::uint8_t>(y / tile_px);
      for (int x = 0; x < grey.cols; ++x) {
        const int low = least[x / tile_px];
        const int high = greatest[x / tile_px];
        limit[x] = static_cast<std::uint8_t>(high - low < least_range ? 0 : (low + high + 1) / 2);
      }
    }
    const auto* from = grey.ptr<std::uint8_t>(y);
    auto* to = dark.ptr<std::uint8_t>(y);
    for (int x = 0; x < grey.cols; ++x) to[x] = from[x] < limit[x] ? 255 : 0;
  }
  return dark;
}

std::vector<Eigen::Vector2d> as_points(const std::vector<cv::Point>& points) {
  std::vector<Eigen::Vector2d> converted;
  converted.reserve(points.size());
  for (const cv::Point& p : points) converted.emplace_back(p.x, p.y);
  return converted;
}

std::optional<TagCorners> quad_of_outline(const std::vector<cv::Point>& outline, double smallest_side_px) {
  // A foreshortened tag is narrower than it is long, but not by more than three.
  if (static_cast<double>(outline.size()) < 2.0 * smallest_side_px) return std::nullopt;
  const cv::Rect box = cv::boundingRect(outline);
  if (std::max(box.width, box.height) < smallest_side_px) return std::nullopt;
  if (std::min(box.width, box.height) < 0.4 * smallest_side_px) return std::nullopt;
  std::vector<cv::Point> hull;
  cv::convexHull(outline, hull);
  // Long ragged outlines are no tags: the outline of one is as long as its hull, or about twice that when
  // its border is broken.
  if (static_cast<double>(outline.size()) > 3.0 * cv::arcLength(hull, true)) return std::nullopt;
  return four_sides_of(as_points(outline), as_points(hull));
}

// `scale` pixels of the full picture make one of `grey`.
void add_candidates(const cv::Mat& grey, double scale, double smallest_side_px,
                    std::vector<TagCorners>& candidates) {
  const cv::Mat dark = dark_mask(grey);
  std::vector<std::vector<cv::Point>> outlines;
  std::vector<cv::Vec4i> tree;
  cv::findContours(dark, outlines, tree, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    const bool is_hole = tree[i][3] >= 0;
    if (is_hole) continue;
    auto quad = quad_of_outline(outlines[i], smallest_side_px);
    if (!quad) continue;
    for (Eigen::Vector2d& corner : *quad) {
      corner = (corner * scale).array() + 0.5 * (scale - 1.0);
    }
    candidates.push_back(*quad);
  }
}

}  // namespace

std::vector<TagCorners> find_candidates(const GreyPicture& picture, double smallest_side_px) {
  constexpr int levels = 3;
  std::vector<TagCorners> candidates;
  if (picture.width_px < tile_px || picture.height_px < tile_px) return candidates;
  // OpenCV has no read-only view; the pixels are not written to.
  const cv::Mat full(picture.height_px, picture.width_px, CV_8U,
                     const_cast<std::uint8_t*>(picture.grey.data()));
  std::vector<cv::Mat> pyramid{full};
  while (static_cast<int>(pyramid.size()) < levels && pyramid.back().cols >= 64 &&
         pyramid.back().rows >= 64) {
    const cv::Mat& fine = pyramid.back();
    const cv::Mat even = fine(cv::Rect(0, 0, fine.cols & ~1, fine.rows & ~1));
    cv::Mat coarse;
    cv::resize(even, coarse, cv::Size(even.cols / 2, even.rows / 2), 0, 0, cv::INTER_AREA);
    pyramid.push_back(coarse);
  }
  for (int level = static_cast<int>(pyramid.size()) - 1; level >= 0; --level) {
    const double smallest = level == 0 ? smallest_side_px : std::max(smallest_side_px / (1 << level), 20.0);
    add_candidates(pyramid[level], 1 << level, smallest, candidates);
  }
  return candidates;
}

}  // namespace pivotfix
