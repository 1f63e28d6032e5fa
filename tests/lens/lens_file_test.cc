// SPDX-License-Identifier: Apache-2.0
// Lens files: what is written is read back, what is no lens is refused with its line.
#include "lens/lens_file.h"

#include <gtest/gtest.h>

#include <array>

#include "base/problem.h"
#include "lens/lens_groups.h"

namespace pivotfix {
namespace {

LensFile invented_lens() {
  LensFile file;
  file.name = "pocket.yml";
  file.camera = {"Halm", "Pocket \"3\"", "wide", 5.6, 26.0, 1.5, 3264, 2448};
  file.lens.values = {2481.123456789, 1.0, 1640.25, 1211.0, 0.0612, -0.1187, 0.0489, 0.00042, -0.00031};
  for (int i = 0; i < lens_parameter_count; ++i)
    if (i != lens_aspect) file.covariance(i, i) = i < 4 ? 0.25 : 1e-6;
  file.covariance(lens_focal_px, lens_principal_x_px) = file.covariance(lens_principal_x_px, lens_focal_px) =
      0.05;
  file.spread = {1.25, 1.25, 0.0003};
  file.photos = 24;
  file.residual_px = 0.031;
  return file;
}

std::string complaint(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  text.replace(at, from.size(), to);
  try {
    parse_lens_file(text, "pocket.yml");
  } catch (const Problem& problem) {
    return problem.what();
  }
  return "";
}

LensFile lens_with(double k1, double k2, double k3, double focal_px) {
  LensFile file = invented_lens();
  file.lens.values = {focal_px, 1.0, 1631.5, 1223.5, k1, k2, k3, 0.0, 0.0};
  return file;
}

std::string complaint_of(const LensFile& file) {
  return complaint(lens_file_text(file), "", "");
}

TEST(LensFile, ReadsBackWhatItWrote) {
  const LensFile written = invented_lens();
  const LensFile read = parse_lens_file(lens_file_text(written), written.name);
  for (int i = 0; i < lens_parameter_count; ++i)
    EXPECT_NEAR(read.lens.values[i], written.lens.values[i], 1e-12 * std::abs(written.lens.values[i]));
  EXPECT_TRUE(read.covariance.isApprox(written.covariance, 1e-14));
  EXPECT_EQ(read.spread, written.spread);
  EXPECT_TRUE(same_lens(read.camera, written.camera));  // in each thing said of it
  EXPECT_EQ(read.photos, 24);
  EXPECT_EQ(read.residual_px, 0.031);
}

TEST(LensFile, KnowsLessOnAnotherDayByTheSpreadOfThePhotos) {
  const LensFile file = invented_lens();
  const LensCovariance then = covariance_on_another_day(file);
  EXPECT_NEAR(then(lens_principal_x_px, lens_principal_x_px), 0.25 + 1.25 * 1.25, 1e-12);
  EXPECT_NEAR(then(lens_focal_px, lens_focal_px), 0.25 + std::pow(0.0003 * 2481.123456789, 2), 1e-9);
  EXPECT_EQ(then(lens_k1, lens_k1), 1e-6);
}

TEST(LensFile, RefusesWhatCannotBeALensAndSaysWhere) {
  const std::string text = lens_file_text(invented_lens());
  EXPECT_NE(complaint(text, "image_width: 3264", "image_width: -4").find("pocket.yml:11"), std::string::npos);
  EXPECT_NE(complaint(text, "image_width: 3264\n", "").find("has no \"image_width\""), std::string::npos);
  EXPECT_NE(complaint(text, "2481.123456789", "nan"), "");
  EXPECT_NE(complaint(text, "2481.123456789", "0.01"), "");
  EXPECT_NE(complaint(text, "0.0612", "-9.5"), "");  // folds the picture over
  for (const auto& [k1, k2, focal_px] : {std::array<double, 3>{-0.7, 0.2, 1400.0},
                                         {-0.6, 0.12, 1200.0},
                                         {-0.9, 0.3, 1500.0},
                                         {-0.5, 0.1, 1100.0}})
    EXPECT_EQ(complaint_of(lens_with(k1, k2, 0.0, focal_px)),
              "pocket.yml:20: This distortion folds the picture over. Make the file anew with: pivotfix lens")
        << k1;
  EXPECT_NE(complaint(text, "rows: 9", "rows: 8"), "");
  EXPECT_NE(complaint(text, "%YAML", "{\"a\""), "");
}

// Wide and narrow lenses of phones and cameras, whose distortion is one-to-one over the whole picture.
TEST(LensFile, AcceptsLensesThatBendMuchWithoutFolding) {
  EXPECT_EQ(complaint_of(lens_with(-0.1, 0.02, 0.0, 2481.0)), "");
  EXPECT_EQ(complaint_of(lens_with(-0.3, 0.1, 0.0, 2000.0)), "");
  EXPECT_EQ(complaint_of(lens_with(-0.55, 0.16, -0.01, 1200.0)), "");
  EXPECT_EQ(complaint_of(lens_with(0.0612, -0.1187, 0.0489, 2481.0)), "");
}

TEST(LensFile, SurvivesEveryTruncation) {
  const std::string text = lens_file_text(invented_lens());
  int whole = 0;
  for (std::size_t length = 0; length <= text.size(); ++length) {
    try {
      parse_lens_file(text.substr(0, length), "pocket.yml");
      ++whole;
    } catch (const Problem&) {
    }
  }
  EXPECT_GE(whole, 1);
  EXPECT_LT(whole, 80);  // the last, optional, lines
}

}  // namespace
}  // namespace pivotfix
