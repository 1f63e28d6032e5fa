// SPDX-License-Identifier: Apache-2.0
// Every board is found where it was drawn: its own print, seen aslant through a pinhole, is rendered by area.
#include "boards/boards.h"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <cmath>
#include <utility>

#include "base/problem.h"

namespace pivotfix {
namespace {

// Lines of a print at 0.1 mm, white around it.
class Raster {
 public:
  explicit Raster(const PrintedPattern& print)
      : columns_(static_cast<int>(std::lround(10 * print.width_mm))),
        rows_(static_cast<int>(std::lround(10 * print.height_mm))),
        black_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_), false) {
    for (const BlackRectangle& one : print.black)
      for (long row = std::lround(10 * one.top_mm); row < std::lround(10 * (one.top_mm + one.height_mm));
           ++row)
        for (long column = std::lround(10 * one.left_mm);
             column < std::lround(10 * (one.left_mm + one.width_mm)); ++column)
          black_[static_cast<std::size_t>(row * columns_ + column)] = true;
  }
  bool black(double x_mm, double y_mm) const {
    const int column = static_cast<int>(std::floor(10 * x_mm)), row = static_cast<int>(std::floor(10 * y_mm));
    return column >= 0 && row >= 0 && column < columns_ && row < rows_ &&
           black_[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns_) +
                  static_cast<std::size_t>(column)];
  }

 private:
  int columns_, rows_;
  std::vector<bool> black_;
};

struct Scene {
  Photo photo{};
  Eigen::Matrix3d picture_from_print{};  // homogeneous pixels from millimetres, x right, y down
};

Scene photographed(const Board& board) {
  const PrintedPattern print = board_print(board);
  const Raster raster(print);
  Scene scene;
  Eigen::Matrix3d lens, pose;
  lens << 1500, 0, 800, 0, 1500, 600, 0, 0, 1;
  const Eigen::Matrix3d turn =
      (Eigen::AngleAxisd(0.5, Eigen::Vector3d::UnitY()) * Eigen::AngleAxisd(-0.3, Eigen::Vector3d::UnitX()) *
       Eigen::AngleAxisd(0.2, Eigen::Vector3d::UnitZ()))
          .toRotationMatrix();
  const Eigen::Vector3d middle_mm(0.5 * print.width_mm, 0.5 * print.height_mm, 0.0);
  pose.col(0) = turn.col(0);
  pose.col(1) = turn.col(1);
  pose.col(2) = Eigen::Vector3d(0, 0, 420) - turn * middle_mm;
  scene.picture_from_print = lens * pose;
  const Eigen::Matrix3d back = scene.picture_from_print.inverse();
  GreyPicture& picture = scene.photo.picture;
  picture = {1600, 1200, {}};
  constexpr int fine = 4;  // samples across a pixel
  for (int row = 0; row < picture.height_px; ++row)
    for (int column = 0; column < picture.width_px; ++column) {
      int black = 0;
      for (int i = 0; i < fine * fine; ++i) {
        const Eigen::Vector2d place = (back * Eigen::Vector3d(column + (i % fine + 0.5) / fine - 0.5,
                                                              row + (i / fine + 0.5) / fine - 0.5, 1))
                                          .hnormalized();
        black += raster.black(place.x(), place.y());
      }
      picture.grey.push_back(static_cast<std::uint8_t>(220 - 190 * black / (fine * fine)));
    }
  scene.photo.camera.width_px = picture.width_px;
  scene.photo.camera.height_px = picture.height_px;
  return scene;
}

Board board_of(BoardKind kind) {
  Board board;
  board.kind = kind;
  board.columns = 8;
  board.rows = 5;
  board.square_mm = 24.0;
  board.marker_mm = 16.0;
  return board;
}

// Homography from the found points to the truth's plane must be the one that drew them, up to how each board
// counts its axes: checked point by point against the nearest true point.
double largest_miss_px(const BoardView& view, const Scene& scene,
                       const std::vector<Eigen::Vector2d>& true_mm) {
  double largest = 0.0;
  for (const Eigen::Vector2d& found : view.points_px) {
    double nearest = 1e9;
    for (const Eigen::Vector2d& place : true_mm)
      nearest =
          std::min(nearest, ((scene.picture_from_print * place.homogeneous()).hnormalized() - found).norm());
    largest = std::max(largest, nearest);
  }
  return largest;
}

std::vector<Eigen::Vector2d> inner_corners(const Board& board) {
  std::vector<Eigen::Vector2d> places;
  for (int row = 1; row < board.rows; ++row)
    for (int column = 1; column < board.columns; ++column)
      places.emplace_back(column * board.square_mm, row * board.square_mm);
  return places;
}

// Distances between found points and their pictures belong together: the largest misfit of a homography that
// four of them fix.
void expect_one_plane(const BoardView& view) {
  // Eight unknowns from all points by least squares, then the residual.
  const auto count = static_cast<Eigen::Index>(view.points_px.size());
  Eigen::MatrixXd rows(2 * count, 8);
  Eigen::VectorXd right(2 * count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Eigen::Vector3d& p = view.points_board_mm[static_cast<std::size_t>(i)];
    const Eigen::Vector2d& q = view.points_px[static_cast<std::size_t>(i)];
    rows.row(2 * i) << p.x(), p.y(), 1, 0, 0, 0, -q.x() * p.x(), -q.x() * p.y();
    rows.row(2 * i + 1) << 0, 0, 0, p.x(), p.y(), 1, -q.y() * p.x(), -q.y() * p.y();
    right.segment<2>(2 * i) = q;
  }
  const Eigen::VectorXd h = rows.colPivHouseholderQr().solve(right);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Eigen::Vector3d& p = view.points_board_mm[static_cast<std::size_t>(i)];
    const double w = h[6] * p.x() + h[7] * p.y() + 1;
    const Eigen::Vector2d place((h[0] * p.x() + h[1] * p.y() + h[2]) / w,
                                (h[3] * p.x() + h[4] * p.y() + h[5]) / w);
    EXPECT_LT((place - view.points_px[static_cast<std::size_t>(i)]).norm(), 0.15);
  }
}

TEST(FindBoard, FindsAChessboardsCornersWhereTheyWereDrawn) {
  const Board board = board_of(BoardKind::chessboard);
  const Scene scene = photographed(board);
  const auto view = find_board(scene.photo, board);
  ASSERT_TRUE(view);
  EXPECT_EQ(view->points_px.size(), 28u);
  EXPECT_LT(largest_miss_px(*view, scene, inner_corners(board)), 0.1);
  expect_one_plane(*view);
}

class CharucoDictionaries : public testing::TestWithParam<const char*> {};

TEST_P(CharucoDictionaries, AreFoundWhereTheyWereDrawn) {
  Board board = board_of(BoardKind::charuco);
  board.dictionary = GetParam();
  const Scene scene = photographed(board);
  const auto view = find_board(scene.photo, board);
  ASSERT_TRUE(view);
  EXPECT_GE(view->points_px.size(), 24u);
  EXPECT_LT(largest_miss_px(*view, scene, inner_corners(board)), 0.1);
  expect_one_plane(*view);
}
INSTANTIATE_TEST_SUITE_P(Some, CharucoDictionaries,
                         testing::Values("4X4_50", "5X5_100", "6X6_250", "APRILTAG_36h11"));

TEST(FindBoard, FindsATagGridsCentresWhereTheyWereDrawn) {
  const Board board = board_of(BoardKind::tags);
  const Scene scene = photographed(board);
  const auto view = find_board(scene.photo, board);
  ASSERT_TRUE(view);
  EXPECT_EQ(view->points_px.size(), 40u);
  ASSERT_EQ(view->sightings.size(), 40u);
  for (std::size_t i = 0; i < view->sightings.size(); ++i)
    EXPECT_EQ(view->sightings[i].centre_px, view->points_px[i]);
  std::vector<Eigen::Vector2d> centres;
  for (int row = 0; row < board.rows; ++row)
    for (int column = 0; column < board.columns; ++column)
      centres.emplace_back((column + 0.5) * board.square_mm, (row + 0.5) * board.square_mm);
  EXPECT_LT(largest_miss_px(*view, scene, centres), 0.06);
  expect_one_plane(*view);
}

// A loose tag of the same number lies beside the board: which of both is the board's cannot be told.
TEST(FindBoard, LeavesOutATagThatIsThereTwice) {
  const Board board = board_of(BoardKind::tags);
  Scene scene = photographed(board);
  const Eigen::Vector2d copied_mm(2.5 * board.square_mm,
                                  1.5 * board.square_mm);  // the third of the second row
  const Eigen::Vector2d copied_px = (scene.picture_from_print * copied_mm.homogeneous()).hnormalized();
  GreyPicture& picture = scene.photo.picture;
  const auto at = [&](int column, int row) -> std::uint8_t& {
    return picture.grey[static_cast<std::size_t>(row * picture.width_px + column)];
  };
  constexpr int half_px = 36;  // the tag and some white, nothing of its neighbours
  for (int row = -half_px; row <= half_px; ++row)
    for (int column = -half_px; column <= half_px; ++column)
      at(100 + column, 100 + row) = at(static_cast<int>(std::lround(copied_px.x())) + column,
                                       static_cast<int>(std::lround(copied_px.y())) + row);
  const auto view = find_board(scene.photo, board);
  ASSERT_TRUE(view);
  EXPECT_EQ(view->points_px.size(), 39u);
  for (const Sighting& sighting : view->sightings)
    EXPECT_NE(sighting.tag_number, board.first_tag + board.columns + 2);
  expect_one_plane(*view);
}

TEST(FindBoard, FindsNoneWhereAnotherOneIs) {
  const Scene scene = photographed(board_of(BoardKind::tags));
  EXPECT_FALSE(find_board(scene.photo, board_of(BoardKind::chessboard)));
  EXPECT_FALSE(find_board(scene.photo, board_of(BoardKind::charuco)));
}

TEST(FindBoard, FindsNoneInAPictureOfAFewLines) {
  for (const auto& [width_px, height_px] : {std::pair{5000, 1}, {1, 5000}, {20, 20}, {100000, 40}}) {
    Photo photo;
    photo.picture = {width_px, height_px, {}};
    photo.picture.grey.resize(static_cast<std::size_t>(width_px) * static_cast<std::size_t>(height_px), 128);
    for (const BoardKind kind : {BoardKind::chessboard, BoardKind::charuco, BoardKind::tags})
      EXPECT_FALSE(find_board(photo, board_of(kind))) << width_px << " x " << height_px;
  }
}

TEST(CheckBoard, RefusesWhatIsNoBoard) {
  const auto complaint = [](auto change) {
    Board board = board_of(BoardKind::charuco);
    change(board);
    try {
      check_board(board);
    } catch (const Problem& problem) {
      return std::string(problem.what());
    }
    return std::string();
  };
  EXPECT_EQ(complaint([](Board&) {}), "");
  EXPECT_NE(complaint([](Board& b) { b.columns = 1; }), "");
  EXPECT_NE(complaint([](Board& b) { b.marker_mm = 24.0; }), "");
  EXPECT_NE(complaint([](Board& b) { b.dictionary = "9X9"; }).find("no dictionary \"9X9\""),
            std::string::npos);
  EXPECT_NE(complaint([](Board& b) { b.columns = b.rows = 20; }).find("needs 200 markers"),
            std::string::npos);
  EXPECT_NE(complaint([](Board& b) { b.kind = BoardKind::tags, b.first_tag = 580; }).find("0 to 586"),
            std::string::npos);
  EXPECT_NE(complaint([](Board& b) { b.kind = BoardKind::chessboard, b.columns = 7; }), "");
}

}  // namespace
}  // namespace pivotfix
