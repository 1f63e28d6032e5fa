// SPDX-License-Identifier: Apache-2.0
#include "render/background.h"

#include <cmath>
#include <opencv2/imgproc.hpp>

namespace pivotfix::render {
namespace {

// sRGB (IEC 61966-2-1), backwards.
float light_of(std::uint8_t grey) {
  const double coded = grey / 255.0;
  return static_cast<float>(coded <= 0.04045 ? coded / 12.92 : std::pow((coded + 0.055) / 1.055, 2.4));
}

cv::Mat_<float> enlarged(const GreyPicture& picture, double times, bool mirrored) {
  cv::Mat_<float> light(picture.height_px, picture.width_px);
  for (std::size_t i = 0; i < picture.grey.size(); ++i)
    light(static_cast<int>(i) / picture.width_px, static_cast<int>(i) % picture.width_px) =
        light_of(picture.grey[i]);
  cv::Mat_<float> large;
  cv::resize(light, large, {}, times, times, cv::INTER_LINEAR);
  if (mirrored) cv::flip(large, large, 1);
  return large;
}

}  // namespace

void draw_shapes(cv::Mat_<float>& fine, std::mt19937_64& random) {
  std::uniform_real_distribution<double> even(0.0, 1.0);
  fine.setTo(0.12);
  const double width = fine.cols, height = fine.rows;
  for (int i = 0; i < 350; ++i) {
    const double down = height * even(random), across = width * even(random);
    const cv::Point2d middle(across, down);
    const double size = 0.12 * width * std::pow(even(random), 2.0) + 12.0;
    const double slim = 0.1 + 0.9 * even(random), turn = 6.28 * even(random);
    std::vector<cv::Point> corners;
    const int count = 3 + static_cast<int>(4 * even(random));
    for (int k = 0; k < count; ++k) {
      const double angle = 6.28 * (k + 0.6 * even(random)) / count;
      const double length = size * std::cos(angle), breadth = slim * size * std::sin(angle);
      corners.emplace_back(static_cast<int>(middle.x + length * std::cos(turn) - breadth * std::sin(turn)),
                           static_cast<int>(middle.y + length * std::sin(turn) + breadth * std::cos(turn)));
    }
    cv::fillConvexPoly(fine, corners, cv::Scalar(0.02 + 0.45 * std::pow(even(random), 1.5)));
  }
}

void draw_patchwork(cv::Mat_<float>& fine, const std::vector<GreyPicture>& pictures,
                    std::mt19937_64& random) {
  constexpr double least_enlarged = 2.0, most_enlarged = 4.0;  // the fine grid has two cells a pixel
  constexpr int row_height = 800;
  std::uniform_real_distribution<double> even(0.0, 1.0);
  for (int top = 0; top < fine.rows; top += row_height) {
    const int height = std::min(row_height, fine.rows - top);
    for (int left = 0; left < fine.cols;) {
      const GreyPicture& picture = pictures[random() % pictures.size()];
      const double wanted = least_enlarged + (most_enlarged - least_enlarged) * even(random);
      const double times = std::max(wanted, static_cast<double>(row_height) / picture.height_px);
      const cv::Mat_<float> piece = enlarged(picture, times, even(random) < 0.5);
      const int width = std::min(piece.cols, fine.cols - left);
      const int skipped = static_cast<int>(even(random) * (piece.rows - height));
      piece(cv::Rect(0, skipped, width, height)).copyTo(fine(cv::Rect(left, top, width, height)));
      left += width;
    }
  }
}

}  // namespace pivotfix::render
