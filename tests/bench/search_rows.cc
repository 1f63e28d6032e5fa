// SPDX-License-Identifier: Apache-2.0
// The tag search beside two other detectors, photo after photo on one thread.
#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>

#include <algorithm>
#include <ctime>
#include <functional>
#include <opencv2/aruco.hpp>
#include <opencv2/core.hpp>

#include "base/median.h"
#include "bench/speed_rows.h"

namespace pivotfix::bench {
namespace {

double thread_seconds() {
  timespec time{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &time);
  return static_cast<double>(time.tv_sec) + 1e-9 * static_cast<double>(time.tv_nsec);
}

struct Found {
  int number = 0;
  TagCorners corner_px{};  // in any order
};
using Detector = std::function<std::vector<Found>(const GreyPicture&)>;

std::vector<Found> find_ours(const GreyPicture& picture) {
  std::vector<Found> result;
  for (const Sighting& sighting : find_tags(picture))
    result.push_back({sighting.tag_number, sighting.corner_px});
  return result;
}

class AprilTagDetector {
 public:
  AprilTagDetector() {
    apriltag_detector_add_family_bits(detector_, family_, 2);
    detector_->quad_decimate = 1.0F;
    detector_->nthreads = 1;
  }
  AprilTagDetector(const AprilTagDetector&) = delete;
  AprilTagDetector& operator=(const AprilTagDetector&) = delete;
  ~AprilTagDetector() {
    apriltag_detector_destroy(detector_);
    tag36h11_destroy(family_);
  }

  // Its pixel (0, 0) has its centre at (0.5, 0.5).
  std::vector<Found> find(const GreyPicture& picture) {
    std::vector<std::uint8_t> grey = picture.grey;
    image_u8_t image{picture.width_px, picture.height_px, picture.width_px, grey.data()};
    zarray_t* detections = apriltag_detector_detect(detector_, &image);
    std::vector<Found> result;
    for (int i = 0; i < zarray_size(detections); ++i) {
      apriltag_detection_t* one = nullptr;
      zarray_get(detections, i, &one);
      Found found{one->id, {}};
      for (int k = 0; k < 4; ++k) found.corner_px[k] = {one->p[k][0] - 0.5, one->p[k][1] - 0.5};
      result.push_back(found);
    }
    apriltag_detections_destroy(detections);
    return result;
  }

 private:
  apriltag_family_t* family_ = tag36h11_create();
  apriltag_detector_t* detector_ = apriltag_detector_create();
};

std::vector<Found> find_by_opencv(const GreyPicture& picture) {
  std::vector<std::uint8_t> grey = picture.grey;
  const cv::Mat image(picture.height_px, picture.width_px, CV_8U, grey.data());
  const auto parameters = cv::aruco::DetectorParameters::create();
  parameters->cornerRefinementMethod = cv::aruco::CORNER_REFINE_SUBPIX;
  std::vector<std::vector<cv::Point2f>> corners;
  std::vector<int> numbers;
  cv::aruco::detectMarkers(image, cv::aruco::getPredefinedDictionary(cv::aruco::DICT_APRILTAG_36h11), corners,
                           numbers, parameters);
  std::vector<Found> result;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    Found found{numbers[i], {}};
    for (int k = 0; k < 4; ++k) found.corner_px[k] = {corners[i][k].x, corners[i][k].y};
    result.push_back(found);
  }
  return result;
}

// Whichever corner the detector counts from: by the nearest.
double corner_squares(const TrueTag& tag, const Found& found) {
  double squares = 0.0;
  for (const Eigen::Vector2d& truth : tag.corner_px) {
    double nearest = 1e9;
    for (const Eigen::Vector2d& corner : found.corner_px)
      nearest = std::min(nearest, (corner - truth).squaredNorm());
    squares += nearest;
  }
  return squares;
}

Eigen::Vector2d middle(const TagCorners& corner) {
  return 0.25 * (corner[0] + corner[1] + corner[2] + corner[3]);
}

bool explains(const TrueTag& tag, const Found& found) {
  const double side_px = (tag.corner_px[1] - tag.corner_px[0]).norm();
  return tag.number == found.number &&
         (middle(tag.corner_px) - middle(found.corner_px)).norm() < 0.5 * side_px;
}

struct Score {
  double seconds = 0.0;
  int found = 0;
  int false_numbers = 0;
  std::vector<double> corner_errors_px{};  // rms of each tag's four corners

  double middle_error_px() { return corner_errors_px.empty() ? 0.0 : median(corner_errors_px); }
};

void judge(const std::vector<Found>& found, const TimedPhoto& photo, Score& score) {
  for (const Found& one : found) {
    const auto explained = [&](const TrueTag& tag) { return explains(tag, one); };
    score.false_numbers += std::none_of(photo.tags.begin(), photo.tags.end(), explained);
  }
  for (const TrueTag& tag : photo.tags) {
    const auto one = std::find_if(found.begin(), found.end(),
                                  [&](const Found& candidate) { return explains(tag, candidate); });
    if (one == found.end() || !tag.whole) continue;
    ++score.found;
    score.corner_errors_px.push_back(std::sqrt(corner_squares(tag, *one) / 8.0));
  }
}

void measure_search(benchmark::State& state, const TimedSet& set) {
  cv::setNumThreads(1);
  AprilTagDetector apriltag;
  const std::vector<Detector> detectors{
      find_ours, [&](const GreyPicture& picture) { return apriltag.find(picture); }, find_by_opencv};
  std::vector<Score> score(detectors.size());
  constexpr std::size_t every = 4;
  double photos = 0.0;
  for ([[maybe_unused]] auto once : state) {
    for (std::size_t i = 0; i < set.photos.size(); i += every) {
      const Photo photo = read_photo(set.photos[i].file, set.photos[i].file.string());
      for (std::size_t d = 0; d < detectors.size(); ++d) {
        const double start = thread_seconds();
        const std::vector<Found> found = detectors[d](photo.picture);
        score[d].seconds += thread_seconds() - start;
        judge(found, set.photos[i], score[d]);
      }
      ++photos;
    }
    state.SetIterationTime(score[0].seconds / photos);
  }
  auto& counters = state.counters;
  const std::vector<std::string> names{"ours", "apriltag", "opencv"};
  for (std::size_t d = 0; d < detectors.size(); ++d) {
    counters[names[d] + "_ms"] = 1e3 * score[d].seconds / photos;
    counters[names[d] + "_found"] = score[d].found;
    counters[names[d] + "_false"] = score[d].false_numbers;
    counters[names[d] + "_corner_px"] = score[d].middle_error_px();
    if (d == 0) continue;
    counters["against_" + names[d]] = score[d].seconds / score[0].seconds;
    counters["found_against_" + names[d]] = score[0].found / std::max(1.0, 1.0 * score[d].found);
    counters["corner_against_" + names[d]] = score[0].middle_error_px() / score[d].middle_error_px();
  }
}

}  // namespace

void add_search_rows(const TimedSet& set, SpeedTable& table) {
  const std::string name = "search, " + set.name;
  add_benchmark(name, [&set](benchmark::State& state) { measure_search(state, set); });
  const auto row = [&](const std::string& counter, const std::string& measure, double at_most,
                       double at_least) {
    table.add({name, counter, set.name + ": " + measure, at_most, at_least});
  };
  row("ours_ms", "tag search with refinement, a photo on one thread, ms", no_bar, no_bar);
  row("against_apriltag", "times as fast as libapriltag at full resolution", no_bar, 10.0);
  row("found_against_apriltag", "tags found over those that libapriltag finds", no_bar, 1.0);
  row("against_opencv", "times as fast as OpenCV's detectMarkers, sub-pixel", no_bar, 1.0);
  row("found_against_opencv", "tags found over those that OpenCV finds", no_bar, 1.0);
  row("corner_against_opencv", "median corner error over OpenCV's", 0.5, no_bar);
  row("ours_false", "false numbers", 0.0, no_bar);
}

}  // namespace pivotfix::bench
