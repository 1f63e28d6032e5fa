// SPDX-License-Identifier: Apache-2.0
// Our adjustment against OpenCV's calibration on real photographs: the chessboard photos that Debian's
// opencv-doc carries (left01.jpg ... left14.jpg, 9 x 6 corners of 25 mm squares). Both get the same corners.
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "base/median.h"
#include "bundle/bundle.h"
#include "network/calibrate_lens.h"
#include "network/planar_pose.h"
#include "photos/photos.h"

namespace pivotfix {
namespace {

const std::string photo_folder = "/usr/share/doc/opencv-doc/examples/data/";
constexpr int columns = 9, rows = 6;
constexpr double square_mm = 25.0;

struct Board {
  std::vector<std::vector<cv::Point2f>> corners{};  // per photo
  std::vector<std::string> names{};
  cv::Size size{};
};

Board read_boards(const std::string& side) {
  Board board;
  for (int number = 1; number <= 14; ++number) {
    if (number == 10) continue;  // the package has none
    const std::string name = side + (number < 10 ? "0" : "") + std::to_string(number) + ".jpg";
    Photo photo = read_photo(photo_folder + name, name);
    const cv::Mat picture(photo.picture.height_px, photo.picture.width_px, CV_8U, photo.picture.grey.data());
    std::vector<cv::Point2f> corners;
    if (!cv::findChessboardCorners(picture, {columns, rows}, corners))
      throw std::runtime_error("no board in " + name);
    cv::cornerSubPix(picture, corners, {11, 11}, {-1, -1},
                     {cv::TermCriteria::EPS | cv::TermCriteria::COUNT, 60, 1e-4});
    board.corners.push_back(corners);
    board.names.push_back(name);
    board.size = picture.size();
  }
  return board;
}

template <typename Point>
std::vector<Point> board_points() {
  std::vector<Point> points;
  for (int row = 0; row < rows; ++row)
    for (int column = 0; column < columns; ++column)
      points.emplace_back(static_cast<float>(column * square_mm), static_cast<float>(row * square_mm), 0.F);
  return points;
}

// Poses from the board's four outer corners under a guessed lens; of the two mirrored ones, that which fits
// all.
RigidTransform rough_pose(const Lens& lens, const std::vector<cv::Point2f>& corners) {
  const auto points = board_points<Eigen::Vector3d>();
  const std::array<std::size_t, 4> outer{0, columns - 1, columns * rows - 1, columns * (rows - 1)};
  const Eigen::Vector3d middle = 0.5 * (points.front() + points.back());
  std::array<Eigen::Vector2d, 4> direction;
  std::array<Eigen::Vector3d, 4> about_middle;
  for (int i = 0; i < 4; ++i) {
    direction[i] = direction_from_pixel(lens, {}, {corners[outer[i]].x, corners[outer[i]].y}).value();
    about_middle[i] = points[outer[i]] - middle;
  }
  RigidTransform best;
  double best_miss = 1e30;
  RigidTransform middle_from_board;
  middle_from_board.translation_mm = -middle;
  const PlanarPoses poses = planar_poses(direction, about_middle).value();
  for (const RigidTransform& camera_from_middle : poses.camera_from_tag) {
    const RigidTransform pose = camera_from_middle * middle_from_board;
    double miss = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i)
      miss += (pixel_from_direction(lens, {}, pose * points[i]) - Eigen::Vector2d(corners[i].x, corners[i].y))
                  .squaredNorm();
    if (miss < best_miss) {
      best_miss = miss;
      best = pose;
    }
  }
  return best;
}

Bundle board_bundle(const Board& board) {
  Bundle bundle;
  BundleLens lens;
  lens.lens.values = {1.2 * board.size.width, 1, 0.5 * (board.size.width - 1), 0.5 * (board.size.height - 1)};
  lens.free.fill(true);
  bundle.lenses.push_back(lens);
  bundle.sizes.push_back({1.0, 0.0, false});
  bundle.targets.push_back({});
  for (std::size_t i = 0; i < board.corners.size(); ++i) {
    bundle.stations.push_back({rough_pose(lens.lens, board.corners[i]), 0, {}});
    BundleObservation observation;
    observation.station = static_cast<int>(i);
    observation.points_target_mm = board_points<Eigen::Vector3d>();
    for (const cv::Point2f& corner : board.corners[i]) observation.points_px.emplace_back(corner.x, corner.y);
    observation.square_root_information = Eigen::MatrixXd::Identity(2 * columns * rows, 2 * columns * rows);
    bundle.observations.push_back(observation);
  }
  return bundle;
}

class BothCameras : public testing::TestWithParam<std::string> {};

TEST_P(BothCameras, CalibrateToTheSameLensAsOpenCvDoes) {
  const Board board = read_boards(GetParam());
  cv::Mat camera, distortion, deviations, unused;
  std::vector<cv::Mat> rotations, translations;
  const std::vector<std::vector<cv::Point3f>> points(board.corners.size(), board_points<cv::Point3f>());
  const double opencv_rms_px = cv::calibrateCamera(
      points, board.corners, board.size, camera, distortion, rotations, translations, deviations, unused,
      unused, 0, {cv::TermCriteria::EPS | cv::TermCriteria::COUNT, 300, 1e-14});

  Bundle adjusted = board_bundle(board);
  ASSERT_TRUE(adjust(adjusted, {.most_iterations = 200}).converged);
  const BundleCovariance found = covariance(adjusted);
  const double variance_px2 = found.weighted_square_sum / (found.residuals - found.unknowns);
  const double corners = static_cast<double>(board.corners.size()) * columns * rows;
  const double our_rms_px = std::sqrt(found.weighted_square_sum / corners);  // per corner, as OpenCV counts
  EXPECT_LE(our_rms_px, opencv_rms_px * (1.0 + 1e-6));

  // OpenCV's order: fx fy cx cy k1 k2 p1 p2 k3.
  const auto& ours = adjusted.lenses[0].lens.values;
  const Eigen::MatrixXd& spread = found.lenses[0];
  const auto sigma = [&](int parameter) { return std::sqrt(variance_px2 * spread(parameter, parameter)); };
  const double fy = ours[lens_focal_px] * ours[lens_aspect];
  Eigen::VectorXd by_parameters = Eigen::VectorXd::Zero(lens_parameter_count);
  by_parameters[lens_focal_px] = ours[lens_aspect];
  by_parameters[lens_aspect] = ours[lens_focal_px];
  const double fy_sigma = std::sqrt(variance_px2 * by_parameters.dot(spread * by_parameters));
  // OpenCV 4.6 divides the squares by points minus unknowns where coordinates minus unknowns are meant.
  const double opencv_counts_points =
      std::sqrt((corners - found.unknowns) / (2.0 * corners - found.unknowns));
  struct Row {
    const char* name;
    double ours, our_sigma, theirs;
    int place;  // in OpenCV's deviations
  };
  const std::vector<Row> table{
      {"fx", ours[lens_focal_px], sigma(lens_focal_px), camera.at<double>(0, 0), 0},
      {"fy", fy, fy_sigma, camera.at<double>(1, 1), 1},
      {"cx", ours[lens_principal_x_px], sigma(lens_principal_x_px), camera.at<double>(0, 2), 2},
      {"cy", ours[lens_principal_y_px], sigma(lens_principal_y_px), camera.at<double>(1, 2), 3},
      {"k1", ours[lens_k1], sigma(lens_k1), distortion.at<double>(0), 4},
      {"k2", ours[lens_k2], sigma(lens_k2), distortion.at<double>(1), 5},
      {"p1", ours[lens_p1], sigma(lens_p1), distortion.at<double>(2), 6},
      {"p2", ours[lens_p2], sigma(lens_p2), distortion.at<double>(3), 7},
      {"k3", ours[lens_k3], sigma(lens_k3), distortion.at<double>(4), 8}};
  std::printf("%s: root mean square %.5f px, OpenCV %.5f px\n", GetParam().c_str(), our_rms_px,
              opencv_rms_px);
  for (const Row& row : table) {
    const double their_sigma = deviations.at<double>(row.place) * opencv_counts_points;
    std::printf("  %-3s %11.5f +- %.5f   OpenCV %11.5f +- %.5f\n", row.name, row.ours, row.our_sigma,
                row.theirs, their_sigma);
    EXPECT_NEAR(row.ours, row.theirs, 0.1 * their_sigma) << row.name;
    EXPECT_NEAR(row.our_sigma, their_sigma, 0.03 * their_sigma) << row.name;
  }
}

// The same corners as `lens` would get them.
std::vector<BoardView> views_of(const Board& board) {
  std::vector<BoardView> views;
  for (std::size_t i = 0; i < board.corners.size(); ++i) {
    BoardView view;
    view.photo = board.names[i];
    view.camera.width_px = board.size.width;
    view.camera.height_px = board.size.height;
    view.points_board_mm = board_points<Eigen::Vector3d>();
    for (const cv::Point2f& corner : board.corners[i]) view.points_px.emplace_back(corner.x, corner.y);
    views.push_back(view);
  }
  return views;
}

// Both cameras stand on one rail: from every pair of photos the same distance must come out. OpenCV's
// cv::stereoCalibrate on these corners gives 83.45 mm, and pair 02 fits it with 1.2 px.
TEST(RealChessboards, GiveTheRailsLengthAndNameTheOddPair) {
  const LensCalibration left = calibrate_lens(views_of(read_boards("left")));
  const LensCalibration right = calibrate_lens(views_of(read_boards("right")));
  std::vector<double> lengths_mm;
  for (std::size_t i = 0; i < left.views.size(); ++i) {
    const bool odd = left.views[i].photo == "left02.jpg";
    EXPECT_EQ(left.views[i].used, !odd) << left.views[i].photo;
    EXPECT_EQ(right.views[i].used, !odd) << right.views[i].photo;
    if (odd) continue;
    lengths_mm.push_back(
        (right.views[i].camera_from_board * left.views[i].camera_from_board.inverse()).translation_mm.norm());
  }
  const double middle_mm = median(lengths_mm);
  std::printf("rail: %.2f mm (middle of %zu pairs), OpenCV 83.45 mm; left out: %s, %s\n", middle_mm,
              lengths_mm.size(), left.views[1].why_not.c_str(), right.views[1].why_not.c_str());
  EXPECT_NEAR(middle_mm, 83.45, 0.25);
}

TEST(RealChessboards, MakeALensFileThatOpenCvReads) {
  const LensCalibration left = calibrate_lens(views_of(read_boards("left")));
  cv::FileStorage file(lens_file_text(left.file), cv::FileStorage::READ | cv::FileStorage::MEMORY);
  ASSERT_TRUE(file.isOpened());
  cv::Mat camera, distortion;
  file["camera_matrix"] >> camera;
  file["distortion_coefficients"] >> distortion;
  EXPECT_EQ(static_cast<int>(file["image_width"]), 640);
  // The same ray through OpenCV's projection and through ours.
  const Eigen::Vector3d ray(0.21, -0.17, 1.0);
  std::vector<cv::Point2d> pixel;
  cv::projectPoints(std::vector<cv::Point3d>{{ray.x(), ray.y(), ray.z()}}, cv::Vec3d(), cv::Vec3d(), camera,
                    distortion, pixel);
  const Eigen::Vector2d ours = pixel_from_direction(left.file.lens, {}, ray);
  EXPECT_NEAR(pixel[0].x, ours.x(), 1e-9);
  EXPECT_NEAR(pixel[0].y, ours.y(), 1e-9);
}

// mrcal, an independent calibration library, on the same corners with the same model: no board bend, no
// regularisation, no outlier rejection.
TEST(RealChessboards, CalibrateToTheSameLensAsMrcalDoes) {
  namespace fs = std::filesystem;
  const Board board = read_boards("left");
  const fs::path folder = fs::temp_directory_path() / ("pivotfix-mrcal-" + std::to_string(::getpid()));
  fs::create_directories(folder);
  std::ofstream corners(folder / "corners.vnl");
  corners << "# filename x y\n";
  corners.precision(9);
  for (std::size_t i = 0; i < board.corners.size(); ++i)
    for (const cv::Point2f& corner : board.corners[i])
      corners << photo_folder << board.names[i] << " " << corner.x << " " << corner.y << "\n";
  corners.close();
  const std::string command =
      "mrcal-calibrate-cameras --corners-cache " + (folder / "corners.vnl").string() +
      " --lensmodel LENSMODEL_OPENCV5 --focal 500 --object-spacing 25 --object-width-n 9 --object-height-n 6"
      " --imagersize 640 480 --skip-calobject-warp-solve --skip-regularization --skip-outlier-rejection"
      " --outdir " +
      folder.string() + " '" + photo_folder + "left??.jpg' >" + (folder / "log").string() + " 2>&1";
  ASSERT_EQ(std::system(command.c_str()), 0) << "mrcal-calibrate-cameras: see " << folder;
  std::ifstream model(folder / "camera-0.cameramodel");
  std::string text(std::istreambuf_iterator<char>(model), {});
  const std::size_t at = text.find("'intrinsics'");
  ASSERT_NE(at, std::string::npos);
  std::string list = text.substr(text.find('[', at) + 1, text.find(']', at) - text.find('[', at) - 1);
  std::replace(list.begin(), list.end(), ',', ' ');
  std::istringstream numbers(list);
  std::vector<double> mrcal(9);
  for (double& value : mrcal) numbers >> value;
  ASSERT_TRUE(numbers);
  fs::remove_all(folder);

  Bundle adjusted = board_bundle(board);
  adjust(adjusted, {.most_iterations = 200});
  const BundleCovariance found = covariance(adjusted);
  const double noise_px = std::sqrt(found.weighted_square_sum / (found.residuals - found.unknowns));
  const auto& ours = adjusted.lenses[0].lens.values;
  // mrcal's order: fx fy cx cy k1 k2 p1 p2 k3.
  const std::array<std::pair<int, double>, 8> compared{{{lens_focal_px, mrcal[0]},
                                                        {lens_principal_x_px, mrcal[2]},
                                                        {lens_principal_y_px, mrcal[3]},
                                                        {lens_k1, mrcal[4]},
                                                        {lens_k2, mrcal[5]},
                                                        {lens_p1, mrcal[6]},
                                                        {lens_p2, mrcal[7]},
                                                        {lens_k3, mrcal[8]}}};
  for (const auto& [parameter, theirs] : compared) {
    const double sigma = noise_px * std::sqrt(found.lenses[0](parameter, parameter));
    const std::string name(name_of(static_cast<LensParameter>(parameter)));
    std::printf("  %-18s %11.5f   mrcal %11.5f   sigma %.5f\n", name.c_str(), ours[parameter], theirs, sigma);
    EXPECT_NEAR(ours[parameter], theirs, 0.05 * sigma) << name;
  }
  EXPECT_NEAR(ours[lens_focal_px] * ours[lens_aspect], mrcal[1], 0.05);
}

INSTANTIATE_TEST_SUITE_P(RealChessboards, BothCameras, testing::Values("left", "right"),
                         [](const auto& information) { return information.param; });

}  // namespace
}  // namespace pivotfix
