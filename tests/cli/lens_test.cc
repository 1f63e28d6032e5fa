// SPDX-License-Identifier: Apache-2.0
// `pivotfix lens` on photographs of a chessboard by somebody else's camera, against somebody else's
// calibration of it: both are in Debian's opencv-doc.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "lens/lens_file.h"
#include "run_program.h"

namespace pivotfix {
namespace {

const std::string photo_folder = "/usr/share/doc/opencv-doc/examples/data/";

// The first number of OpenCV's `camera_matrix` in `left_intrinsics.yml`, which its authors made of 13 photos.
double published_focal_px() {
  std::ostringstream text;
  text << std::ifstream(photo_folder + "left_intrinsics.yml").rdbuf();
  const std::size_t matrix = text.str().find("camera_matrix:");
  const std::size_t numbers = text.str().find("data: [", matrix);
  if (matrix == std::string::npos || numbers == std::string::npos) return std::nan("");
  return std::stod(text.str().substr(numbers + 7));
}

TEST(Lens, OfOpenCvsPhotographsHasTheFocalLengthThatOpenCvPublished) {
  const Workshop workshop;
  std::vector<std::string> arguments{"lens", "-o", "c.yml", "--picture", "c.svg"};
  for (const char* number : {"01", "03", "05", "07", "08", "09", "12", "14"})
    arguments.push_back(photo_folder + "left" + number + ".jpg");
  const Outcome outcome = workshop.run(arguments);
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.err, "");
  EXPECT_NE(outcome.out.find(", from 8 photos.\n"), std::string::npos) << outcome.out;
  EXPECT_TRUE(outcome.out.ends_with("\nWrote c.yml. In a job file: lenses = [\"c.yml\"]\n")) << outcome.out;
  EXPECT_EQ(workshop.files(), (std::vector<std::string>{"c.svg", "c.yml"}));

  const LensFile lens = parse_lens_file(workshop.read("c.yml"), "c.yml");
  EXPECT_EQ(lens.camera.width_px, 640);
  EXPECT_EQ(lens.photos, 8);
  const double published_px = published_focal_px();
  EXPECT_NEAR(published_px, 535.9, 0.1);
  EXPECT_NEAR(lens.lens.focal_px(), published_px, 8.0);  // of other photos, with a weaker model

  // A dot for each of the 9 times 6 corners of each photo.
  const std::string picture = workshop.read("c.svg");
  std::size_t dots = 0;
  for (std::size_t at = picture.find("<circle"); at != std::string::npos;
       at = picture.find("<circle", at + 1))
    ++dots;
  EXPECT_EQ(dots, 8U * 9U * 6U);

  EXPECT_EQ(workshop.run(arguments).exit_code, 2) << "files that are there are not replaced";
}

TEST(Lens, PrintsTheBoardThatItLooksFor) {
  const Workshop workshop;
  const Outcome outcome =
      workshop.run({"lens", "--print", "board.pdf", "--paper", "letter", "--board", "charuco", "--squares",
                    "7x5", "--square", "1 in", "--marker", "18 mm", "--dictionary", "5X5_100"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_TRUE(outcome.out.starts_with("Wrote board.pdf: ")) << outcome.out;
  EXPECT_TRUE(workshop.read("board.pdf").starts_with("%PDF-"));
  EXPECT_EQ(workshop.files(), (std::vector<std::string>{"board.pdf"}));
}

TEST(Lens, SaysWhichOptionIsWrongAndThatNoPhotoShowsTheBoard) {
  const Workshop workshop;
  const auto complaint = [&](const std::vector<std::string>& arguments, int exit_code) {
    const Outcome outcome = workshop.run(arguments);
    EXPECT_EQ(outcome.exit_code, exit_code) << outcome.err;
    return outcome.err;
  };
  EXPECT_EQ(complaint({"lens", "--board", "carpet", "a.jpg"}, 2),
            "pivotfix: --board: \"carpet\" is no board. Known are chessboard, charuco and tags.\n");
  EXPECT_EQ(complaint({"lens", "--squares", "10", "a.jpg"}, 2),
            "pivotfix: --squares: \"10\" is no number of squares. Write it like 10x7.\n");
  // As a raster it would be 160 GB.
  EXPECT_EQ(complaint({"lens", "--print", "board.pdf", "--board", "charuco", "--squares", "40x40", "--square",
                       "1000 mm", "--dictionary", "4X4_1000"},
                      2),
            "pivotfix: The board of 40000 x 40000 mm does not fit the paper. Choose fewer or smaller "
            "squares.\n");
  EXPECT_EQ(
      complaint({"lens", "--squares", "15x12", photo_folder + "left01.jpg"}, 4).find("No photo shows a "),
      std::string("pivotfix: ").size());
  EXPECT_TRUE(workshop.files().empty());
}

}  // namespace
}  // namespace pivotfix
