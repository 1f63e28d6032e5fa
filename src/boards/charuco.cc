// SPDX-License-Identifier: Apache-2.0
#include "boards/charuco.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/aruco/charuco.hpp>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "base/problem.h"

namespace pivotfix {

namespace {

// In the order of OpenCV's enumeration.
constexpr std::array<const char*, 21> dictionary_names{
    "4X4_50",        "4X4_100",        "4X4_250",       "4X4_1000", "5X5_50",         "5X5_100",
    "5X5_250",       "5X5_1000",       "6X6_50",        "6X6_100",  "6X6_250",        "6X6_1000",
    "7X7_50",        "7X7_100",        "7X7_250",       "7X7_1000", "ARUCO_ORIGINAL", "APRILTAG_16h5",
    "APRILTAG_25h9", "APRILTAG_36h10", "APRILTAG_36h11"};

cv::Ptr<cv::aruco::Dictionary> dictionary_of(const Board& board) {
  const auto place = std::find(dictionary_names.begin(), dictionary_names.end(), board.dictionary);
  if (place == dictionary_names.end()) {
    std::string known;
    for (const char* name : dictionary_names) known += (known.empty() ? "" : ", ") + std::string(name);
    throw Problem(ProblemKind::usage, "There is no dictionary \"" + board.dictionary + "\".",
                  "Known are " + known + ".");
  }
  return cv::aruco::getPredefinedDictionary(static_cast<int>(place - dictionary_names.begin()));
}

cv::Ptr<cv::aruco::CharucoBoard> charuco_of(const Board& board) {
  return cv::aruco::CharucoBoard::create(board.columns, board.rows, static_cast<float>(board.square_mm),
                                         static_cast<float>(board.marker_mm), dictionary_of(board));
}

// A view onto the picture's own memory, which OpenCV does not change.
cv::Mat picture_of(const Photo& photo) {
  return {photo.picture.height_px, photo.picture.width_px, CV_8U,
          const_cast<std::uint8_t*>(photo.picture.grey.data())};
}

// In fewer lines no board is to be seen, and OpenCV takes more for granted.
constexpr double fewest_lines = 32.0;

// The window must stay inside the squares round a corner, and larger ones hold up better against blur; it
// grows with the squares, up to 11 px.
int half_window(const std::vector<cv::Point2f>& corners) {
  double shortest_px = 1e9;
  for (std::size_t i = 0; i < corners.size(); ++i)
    for (std::size_t k = 0; k < i; ++k)
      shortest_px = std::min(shortest_px, cv::norm(corners[i] - corners[k]));
  return std::clamp(static_cast<int>(0.35 * shortest_px), 2, 11);
}

void refine(const cv::Mat& picture, std::vector<cv::Point2f>& corners) {
  const int half = half_window(corners);
  cv::cornerSubPix(picture, corners, {half, half}, {-1, -1},
                   {cv::TermCriteria::EPS | cv::TermCriteria::COUNT, 100, 1e-4});
}

}  // namespace

void check_charuco(const Board& board) {
  const int needed = board.columns * board.rows / 2;
  const int there = dictionary_of(board)->bytesList.rows;
  if (needed > there)
    throw Problem(ProblemKind::usage,
                  "The board needs " + std::to_string(needed) + " markers; dictionary " + board.dictionary +
                      " has " + std::to_string(there) + ".",
                  "Choose a larger dictionary, or fewer squares.");
}

// OpenCV draws the board on a fine raster, on which squares begin and end exactly; runs of black cells that
// repeat from line to line become rectangles.
PrintedPattern charuco_print(const Board& board) {
  constexpr double about_mm = 0.1;
  const int cells = static_cast<int>(std::lround(board.square_mm / about_mm));
  const double cell_mm = board.square_mm / cells;
  cv::Mat drawn;
  charuco_of(board)->draw({board.columns * cells, board.rows * cells}, drawn, 0, 1);
  PrintedPattern print{board.columns * board.square_mm, board.rows * board.square_mm, {}};
  struct Run {
    int left, right, top;
  };
  std::vector<Run> open;
  const auto close = [&](const Run& run, int bottom) {
    print.black.push_back({run.left * cell_mm, run.top * cell_mm, (run.right - run.left) * cell_mm,
                           (bottom - run.top) * cell_mm});
  };
  for (int row = 0; row <= drawn.rows; ++row) {
    std::vector<Run> here;
    for (int column = 0; row < drawn.rows && column < drawn.cols;) {
      if (drawn.at<std::uint8_t>(row, column) > 127) {
        ++column;
        continue;
      }
      const int left = column;
      while (column < drawn.cols && drawn.at<std::uint8_t>(row, column) <= 127) ++column;
      here.push_back({left, column, row});
    }
    for (const Run& run : open) {
      const auto same = std::find_if(here.begin(), here.end(), [&](const Run& other) {
        return other.left == run.left && other.right == run.right;
      });
      if (same == here.end())
        close(run, row);
      else
        same->top = run.top;
    }
    open = std::move(here);
  }
  return print;
}

std::optional<BoardView> find_charuco(const Photo& photo, const Board& board) {
  const cv::Mat picture = picture_of(photo);
  if (std::min(picture.cols, picture.rows) < fewest_lines) return std::nullopt;
  const auto charuco = charuco_of(board);
  std::vector<std::vector<cv::Point2f>> markers;
  std::vector<int> marker_numbers, numbers;
  std::vector<cv::Point2f> corners;
  cv::aruco::detectMarkers(picture, charuco->dictionary, markers, marker_numbers);
  if (marker_numbers.size() < 4) return std::nullopt;
  cv::aruco::interpolateCornersCharuco(markers, marker_numbers, picture, charuco, corners, numbers);
  constexpr std::size_t fewest_corners = 8;
  if (corners.size() < fewest_corners) return std::nullopt;
  // OpenCV 4.6 puts these corners half a pixel off; refining them from there mends that.
  refine(picture, corners);
  BoardView view{photo.name, photo.camera, {}, {}};
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const cv::Point3f& place = charuco->chessboardCorners[static_cast<std::size_t>(numbers[i])];
    view.points_board_mm.emplace_back(place.x, place.y, 0.0);
    view.points_px.emplace_back(corners[i].x, corners[i].y);
  }
  return view;
}

std::optional<BoardView> find_chessboard(const Photo& photo, const Board& board) {
  const cv::Mat picture = picture_of(photo);
  const cv::Size inner(board.columns - 1, board.rows - 1);
  // Found on a smaller picture, where blur and noise matter less, refined on the whole one.
  constexpr double search_width_px = 1200.0;
  const double scale = std::min(1.0, search_width_px / std::max(picture.cols, picture.rows));
  if (scale * std::min(picture.cols, picture.rows) < fewest_lines) return std::nullopt;
  cv::Mat small;
  cv::resize(picture, small, {}, scale, scale, cv::INTER_AREA);
  std::vector<cv::Point2f> corners;
  if (!cv::findChessboardCorners(
          small, inner, corners,
          cv::CALIB_CB_ADAPTIVE_THRESH | cv::CALIB_CB_NORMALIZE_IMAGE | cv::CALIB_CB_FAST_CHECK))
    return std::nullopt;
  const auto whole = [&](float place) { return static_cast<float>((place + 0.5) / scale - 0.5); };
  for (cv::Point2f& corner : corners) corner = {whole(corner.x), whole(corner.y)};
  refine(picture, corners);
  BoardView view{photo.name, photo.camera, {}, {}};
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const auto number = static_cast<int>(i);
    const int column = number % inner.width, row = number / inner.width;
    view.points_board_mm.emplace_back(board.square_mm * column, board.square_mm * row, 0.0);
    view.points_px.emplace_back(corners[i].x, corners[i].y);
  }
  return view;
}

}  // namespace pivotfix
