// SPDX-License-Identifier: Apache-2.0
// The PDF as it comes out of a printer: every cell in its place and of its colour, every tag readable by
// libapriltag under its number, the strips and the rulers true to size. What a real printer's rollers do to
// the length is not proved here: that is what the steel rule is for.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "base/temporary_folder.h"
#include "printed_page.h"
#include "sheets/sheets.h"
#include "tags/tags.h"
extern "C" {
#include <apriltag/apriltag.h>
#include <apriltag/tag36h11.h>
}

namespace pivotfix {
namespace {

struct ReadTag {
  double centre_x_mm = 0.0;
  double centre_y_mm = 0.0;
};

// Tags as libapriltag finds them, by number. Its pixel (0, 0) has its centre at (0.5, 0.5).
std::map<int, ReadTag> read_tags(const PrintedPage& page) {
  apriltag_family_t* family = tag36h11_create();
  apriltag_detector_t* detector = apriltag_detector_create();
  apriltag_detector_add_family_bits(detector, family, 0);
  detector->quad_decimate = 1.0F;
  std::vector<std::uint8_t> grey = page.grey;
  image_u8_t image = {page.width_px, page.height_px, page.width_px, grey.data()};
  zarray_t* detections = apriltag_detector_detect(detector, &image);
  std::map<int, ReadTag> found;
  for (int i = 0; i < zarray_size(detections); ++i) {
    apriltag_detection_t* one = nullptr;
    zarray_get(detections, i, &one);
    EXPECT_FALSE(found.contains(one->id)) << one->id;
    found[one->id] = {one->c[0] / page.px_per_mm, one->c[1] / page.px_per_mm};
  }
  apriltag_detections_destroy(detections);
  apriltag_detector_destroy(detector);
  tag36h11_destroy(family);
  return found;
}

void expect_cells(const PrintedPage& page, const PrintedTag& tag) {
  const auto pattern = tag_pattern(tag.number);
  const double cell_mm = tag.side_mm / tag_cells;
  for (int row = -2; row < tag_cells + 2; ++row)
    for (int column = -2; column < tag_cells + 2; ++column) {
      const bool inside = row >= 0 && column >= 0 && row < tag_cells && column < tag_cells;
      const bool black = inside && pattern[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)];
      // Nine places in the cell, close to its edges: a seam or a shift of a twentieth of a cell would show.
      for (const double down : {0.05, 0.5, 0.95})
        for (const double across : {0.05, 0.5, 0.95})
          EXPECT_EQ(page.at_mm(tag.centre_x_mm + (column + across) * cell_mm - tag.side_mm / 2.0,
                               tag.centre_y_mm + (row + down) * cell_mm - tag.side_mm / 2.0),
                    black ? 0 : 255)
              << "tag " << tag.number << " row " << row << " column " << column;
    }
}

// Two cells all round.
void expect_white_round(const PrintedPage& page, const PrintedTag& tag) {
  constexpr double step_mm = 0.1;
  const double inner_mm = tag.side_mm / 2.0 + step_mm;
  const double outer_mm = tag.side_mm / 2.0 + 2.0 * tag.side_mm / tag_cells - step_mm;
  int ink = 0;
  for (double down_mm = -outer_mm; down_mm < outer_mm; down_mm += step_mm)
    for (double across_mm = -outer_mm; across_mm < outer_mm; across_mm += step_mm)
      if (std::max(std::abs(down_mm), std::abs(across_mm)) > inner_mm)
        ink += page.at_mm(tag.centre_x_mm + across_mm, tag.centre_y_mm + down_mm) != 255;
  EXPECT_EQ(ink, 0) << "tag " << tag.number;
}

// Whoever reads the number sees the corners where our own search says they are: bottom left first.
void expect_upright(const PrintedPage& printed, const Page& page) {
  std::map<int, Sighting> seen;
  for (const Sighting& sighting : find_tags({printed.width_px, printed.height_px, printed.grey}))
    seen[sighting.tag_number] = sighting;
  for (const CutPiece& piece : page.pieces)
    for (const PrintedTag& tag : piece.tags) {
      ASSERT_TRUE(seen.contains(tag.number)) << tag.number;
      const Eigen::Vector2d half(tag.side_mm / 2.0, tag.side_mm / 2.0);
      const Eigen::Vector2d centre(tag.centre_x_mm, tag.centre_y_mm);
      const Eigen::Vector2d bottom_left = centre + half.cwiseProduct(Eigen::Vector2d(-1.0, 1.0));
      const Eigen::Vector2d top_right = centre + half.cwiseProduct(Eigen::Vector2d(1.0, -1.0));
      const auto corner_mm = [&](std::size_t k) -> Eigen::Vector2d {
        return (seen[tag.number].corner_px[k] + Eigen::Vector2d(0.5, 0.5)) / printed.px_per_mm;
      };
      EXPECT_NEAR((corner_mm(0) - bottom_left).norm(), 0.0, 0.06) << tag.number;
      EXPECT_NEAR((corner_mm(2) - top_right).norm(), 0.0, 0.06) << tag.number;
    }
}

// A pixel must be smaller than a twentieth of the smallest cell, which the places in expect_cells() keep off.
void expect_true_print(const std::vector<Page>& pages, const std::filesystem::path& pdf, int dots_per_inch) {
  const std::vector<PrintedPage> printed = print_pdf(pdf, pages.size(), dots_per_inch);
  for (std::size_t i = 0; i < pages.size(); ++i) {
    EXPECT_NEAR(printed[i].width_px, pages[i].width_mm * printed[i].px_per_mm, 1.0);
    EXPECT_NEAR(printed[i].height_px, pages[i].height_mm * printed[i].px_per_mm, 1.0);
    const std::map<int, ReadTag> read = read_tags(printed[i]);
    std::size_t tags = 0;
    for (const CutPiece& piece : pages[i].pieces)
      for (const PrintedTag& tag : piece.tags) {
        ++tags;
        expect_cells(printed[i], tag);
        expect_white_round(printed[i], tag);
        ASSERT_TRUE(read.contains(tag.number)) << tag.number;
        EXPECT_NEAR(read.at(tag.number).centre_x_mm, tag.centre_x_mm, 0.03) << tag.number;
        EXPECT_NEAR(read.at(tag.number).centre_y_mm, tag.centre_y_mm, 0.03) << tag.number;
      }
    EXPECT_EQ(read.size(), tags);
    expect_upright(printed[i], pages[i]);
  }
}

void expect_true_print(const std::vector<Page>& pages, const std::string& pdf, int dots_per_inch) {
  const TemporaryFolder folder;
  expect_true_print(pages, folder.write("printed.pdf", pdf), dots_per_inch);
}

TEST(PrintedSheets, AreTrueToTheLayoutOnA4) {
  const std::vector<Page> pages = lay_out_sheets(default_sheets(Paper::a4));
  expect_true_print(pages, sheets_pdf(pages), 300);
}

TEST(PrintedSheets, AreTrueForOtherSizesAndHighNumbers) {
  const std::vector<Page> pages = lay_out_sheets(
      {Paper::letter, {{586, 90.0}, {300, 12.0}, {301, 25.4}, {302, 12.0}}, {{400, 401, 30.0, 150.0}}});
  expect_true_print(pages, sheets_pdf(pages), 600);
  // Between large tags on a short strip is no room for words.
  const std::vector<Page> crowded = lay_out_sheets({Paper::a4, {}, {{60, 61, 85.0, 150.0}}});
  expect_true_print(crowded, sheets_pdf(crowded), 300);
}

TEST(PrintedSheets, AreTheSameBytesForTheSamePages) {
  const std::vector<Page> pages = lay_out_sheets(default_sheets(Paper::letter));
  EXPECT_EQ(sheets_pdf(pages), sheets_pdf(pages));
}

// Black along a line: from the first to the last dark pixel.
TEST(PrintedSheets, CarryRulersOfAHundredMillimetresAndFourInches) {
  const std::vector<Page> pages = lay_out_sheets({Paper::a4, {{0, 40.0}}, {}});
  const TemporaryFolder folder;
  const PrintedPage page = print_pdf(folder.write("ruler.pdf", sheets_pdf(pages)), 1, 1200).at(0);
  std::vector<double> lengths_mm;
  for (double y_mm = 250.0; y_mm < 275.0; y_mm += 0.02) {
    double longest = 0.0;
    double start = -1.0;
    for (double x_mm = 0.0; x_mm < 200.0; x_mm += 0.02) {
      if (page.at_mm(x_mm, y_mm) > 127)
        start = -1.0;
      else if (start < 0.0)
        start = x_mm;
      else
        longest = std::max(longest, x_mm - start);
    }
    if (longest > 50.0 && (lengths_mm.empty() || std::abs(lengths_mm.back() - longest) > 0.5))
      lengths_mm.push_back(longest);
  }
  ASSERT_EQ(lengths_mm.size(), 2U);
  // The end marks are drawn on the ends, so half their 0.15 mm stands out on either side.
  EXPECT_NEAR(lengths_mm[0], 100.0 + 0.15, 0.06);
  EXPECT_NEAR(lengths_mm[1], 101.6 + 0.15, 0.06);
}

class PointersPage : public testing::TestWithParam<Paper> {};

// Its drawings and its words cover no tag.
TEST_P(PointersPage, IsTrueToItsLayout) {
  const Page page = pointer_page(GetParam(), 40.0);
  std::size_t tags = 0;
  for (const CutPiece& piece : page.pieces) tags += piece.tags.size();
  EXPECT_EQ(tags, 6U);
  expect_true_print({page}, pointer_pdf(page), 300);
}

INSTANTIATE_TEST_SUITE_P(OnPaper, PointersPage, testing::Values(Paper::a4, Paper::letter),
                         [](const auto& paper) { return paper.param == Paper::a4 ? "A4" : "Letter"; });

class ReadyMadeSheets : public testing::TestWithParam<Paper> {};

TEST_P(ReadyMadeSheets, AreThoseOfTheCommand) {
  const char* name = GetParam() == Paper::a4 ? "tags-a4.pdf" : "tags-letter.pdf";
  expect_true_print(lay_out_sheets(default_sheets(GetParam())),
                    std::filesystem::path(PIVOTFIX_SOURCE_DIR) / "targets" / name, 300);
}

INSTANTIATE_TEST_SUITE_P(InTargets, ReadyMadeSheets, testing::Values(Paper::a4, Paper::letter),
                         [](const auto& paper) { return paper.param == Paper::a4 ? "A4" : "Letter"; });

}  // namespace
}  // namespace pivotfix
