// SPDX-License-Identifier: Apache-2.0
#include "photos/thumbnail.h"

#include <turbojpeg.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <memory>
#include <numeric>

#include "base/problem.h"

namespace pivotfix {
namespace {

struct DestroyEncoder {
  void operator()(void* encoder) const { tjDestroy(encoder); }
};

// Where each of `to` small pixels begins among `from` pixels, and where the last one ends.
std::vector<int> edges(int from, int to) {
  std::vector<int> all;
  for (int i = 0; i <= to; ++i) all.push_back(static_cast<int>(static_cast<long long>(i) * from / to));
  return all;
}

// Each small pixel is the mean of the pixels below it (box filter). Columns are summed first, many at once in
// sixteen bits, which hold 257 rows; then along the row.
GreyPicture shrunk(const GreyPicture& picture, int width_px, int height_px) {
  constexpr int most_rows = 257;
  GreyPicture small{width_px, height_px, {}};
  small.grey.reserve(static_cast<std::size_t>(width_px) * height_px);
  const std::vector<int> left = edges(picture.width_px, width_px);
  const std::vector<int> top = edges(picture.height_px, height_px);
  const auto full_width = static_cast<std::size_t>(picture.width_px);
  std::vector<std::uint16_t> of_columns(full_width);
  std::vector<std::uint64_t> up_to(full_width + 1);
  std::vector<std::uint64_t> sums(static_cast<std::size_t>(width_px));
  for (int row = 0; row < height_px; ++row) {
    std::fill(sums.begin(), sums.end(), 0);
    for (int from = top[row]; from < top[row + 1]; from += most_rows) {
      std::fill(of_columns.begin(), of_columns.end(), 0);
      for (int y = from; y < std::min(top[row + 1], from + most_rows); ++y) {
        const std::uint8_t* line = picture.grey.data() + y * full_width;
        for (std::size_t x = 0; x < full_width; ++x)
          of_columns[x] = static_cast<std::uint16_t>(of_columns[x] + line[x]);
      }
      std::inclusive_scan(of_columns.begin(), of_columns.end(), up_to.begin() + 1, std::plus<>(),
                          std::uint64_t{0});
      for (int column = 0; column < width_px; ++column)
        sums[column] += up_to[left[column + 1]] - up_to[left[column]];
    }
    for (int column = 0; column < width_px; ++column) {
      const auto count = static_cast<std::uint64_t>(left[column + 1] - left[column]) *
                         static_cast<std::uint64_t>(top[row + 1] - top[row]);
      small.grey.push_back(static_cast<std::uint8_t>((sums[column] + count / 2) / count));
    }
  }
  return small;
}

std::string encoded(const GreyPicture& picture, int quality) {
  const std::unique_ptr<void, DestroyEncoder> encoder(tjInitCompress());
  std::vector<unsigned char> buffer(tjBufSize(picture.width_px, picture.height_px, TJSAMP_GRAY));
  unsigned char* bytes = buffer.data();
  auto size = static_cast<unsigned long>(buffer.size());
  if (!encoder ||
      tjCompress2(encoder.get(), picture.grey.data(), picture.width_px, 0, picture.height_px, TJPF_GRAY,
                  &bytes, &size, TJSAMP_GRAY, quality, TJFLAG_NOREALLOC | TJFLAG_ACCURATEDCT) != 0)
    throw Problem(ProblemKind::internal, "The JPEG encoder does not work.", "Free some memory.");
  return {reinterpret_cast<const char*>(bytes), size};
}

}  // namespace

Thumbnail make_thumbnail(const Photo& photo, const ThumbnailOptions& options) {
  constexpr std::array<int, 4> qualities{75, 60, 45, 30};
  Thumbnail thumbnail;
  thumbnail.orientation = photo.exif_orientation;
  const int longest_px = std::max(photo.picture.width_px, photo.picture.height_px);
  for (double wanted_px = std::min(options.longest_px, longest_px);; wanted_px /= 1.5) {
    const double scale = wanted_px / longest_px;
    const auto size = [&](int full_px) {
      return std::clamp(static_cast<int>(std::lround(scale * full_px)), 1, full_px);
    };
    const GreyPicture small =
        shrunk(photo.picture, size(photo.picture.width_px), size(photo.picture.height_px));
    thumbnail.width_px = small.width_px;
    thumbnail.height_px = small.height_px;
    thumbnail.scale = scale;
    for (const int quality : qualities) {
      thumbnail.jpeg = encoded(small, quality);
      if (thumbnail.jpeg.size() <= options.most_bytes || wanted_px < 32.0) return thumbnail;
    }
  }
}

}  // namespace pivotfix
