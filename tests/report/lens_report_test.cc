// SPDX-License-Identifier: Apache-2.0
// What `pivotfix lens` says of the photos of a board.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "report/report.h"

namespace pivotfix {
namespace {

// The lines that name a photo; the others are numbers of the lens.
std::vector<std::string> lines_on_photos(const LensCalibration& calibration) {
  const std::string text = lens_text(calibration);
  std::vector<std::string> lines;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t end = text.find('\n', from);
    const std::string line = text.substr(from, end - from);
    if (line.find(".jpg") != std::string::npos) lines.push_back(line);
    if (end == std::string::npos) break;
    from = end + 1;
  }
  return lines;
}

CalibratedView view_of(const char* photo, bool used, std::size_t points_left_out,
                       const std::string& why_not = "") {
  CalibratedView view;
  view.photo = photo;
  view.used = used;
  view.why_not = why_not;
  view.points_left_out = points_left_out;
  return view;
}

TEST(LensText, NamesPhotosOfWhichPointsOrTheWholeWereLeftOut) {
  LensCalibration calibration;
  calibration.views = {view_of("good.jpg", true, 0), view_of("finger.jpg", true, 1),
                       view_of("glare.jpg", true, 3),
                       view_of("other.jpg", false, 2, "misses by 7.00 px: another board?")};
  EXPECT_EQ(
      lines_on_photos(calibration),
      (std::vector<std::string>{"  finger.jpg: 1 point left out, far off where the others say: something in "
                                "front, or a reflection?",
                                "  glare.jpg: 3 points left out, far off where the others say: something in "
                                "front, or a reflection?",
                                "  other.jpg: not used, misses by 7.00 px: another board?"}));
}

}  // namespace
}  // namespace pivotfix
