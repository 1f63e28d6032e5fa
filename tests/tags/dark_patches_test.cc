// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_patches.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "tags/family.h"

namespace pivotfix {
namespace {

constexpr int size_px = 80;

// Black or white at each pixel's centre, measured from the middle of the picture.
GreyPicture drawn(const std::function<bool(double, double)>& is_black) {
  GreyPicture picture{size_px, size_px, {}};
  for (int y = 0; y < size_px; ++y)
    for (int x = 0; x < size_px; ++x)
      picture.grey.push_back(is_black(x - 0.5 * size_px, y - 0.5 * size_px) ? 20 : 200);
  return picture;
}

std::vector<DarkPatch> patches_of(const GreyPicture& picture) {
  return find_dark_patches({picture.width_px, picture.height_px, picture.grey}, PatchWish{}, {});
}

bool is_black_cell(std::uint64_t code, int row, int column) {
  const auto is_code = [](int i) { return i > 0 && i <= code_cells; };
  if (!is_code(row) || !is_code(column)) return true;
  return (code >> (code_cells * code_cells - 1 - (row - 1) * code_cells - (column - 1)) & 1) == 0;
}

GreyPicture tag_picture(std::uint64_t code, double side_px, double turn_rad, double squeeze) {
  const double cell_px = side_px / tag_cells;
  return drawn([&](double x, double y) {
    const double across = std::cos(turn_rad) * x / squeeze + std::sin(turn_rad) * y;
    const double down = -std::sin(turn_rad) * x / squeeze + std::cos(turn_rad) * y;
    const auto column = static_cast<int>(std::floor(across / cell_px + 0.5 * tag_cells));
    const auto row = static_cast<int>(std::floor(down / cell_px + 0.5 * tag_cells));
    if (std::min(row, column) < 0 || std::max(row, column) >= tag_cells) return false;
    return is_black_cell(code, row, column);
  });
}

// Small ones, whose rows must be cut up as a tag's are; each member of the family in its own turn.
TEST(DarkPatches, OfSmallTagsAreHandedOnHoweverTheyAreTurned) {
  for (const double squeeze : {1.0, 0.6}) {
    for (int number = 0; number < tag_family_size; ++number) {
      const double turn_rad = 0.1 * number;
      const auto patches =
          patches_of(tag_picture(family_codes[static_cast<std::size_t>(number)], 32.0, turn_rad, squeeze));
      EXPECT_EQ(patches.size(), 1U) << "tag " << number << ", squeezed to " << squeeze;
    }
  }
}

// A bar and a comb: fewer and more stretches in a row than a tag's cells make.
TEST(DarkPatches, AsSmallAsThatOfOtherShapesAreNot) {
  const auto bar = [](double half_length_px) {
    return drawn(
        [=](double x, double y) { return std::abs(x - y) < 10.0 && std::abs(x + y) < 2.0 * half_length_px; });
  };
  EXPECT_TRUE(patches_of(bar(15.0)).empty());
  EXPECT_TRUE(patches_of(drawn([](double x, double y) {
                const bool tooth = static_cast<int>(x + size_px) % 3 == 0;
                return std::max(std::abs(x), std::abs(y)) < 20.0 && (tooth || y > 18.0);
              })).empty());
  // A large one may be a tag with something dark on it.
  EXPECT_EQ(patches_of(bar(30.0)).size(), 1U);
}

}  // namespace
}  // namespace pivotfix
