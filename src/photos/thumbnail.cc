// SPDX-License-Identifier: Apache-2.0
#include "photos/thumbnail.h"

#include <turbojpeg.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "base/problem.h"

namespace pivotfix {
namespace {

struct DestroyEncoder {
  void operator()(void* encoder) const { tjDestroy(encoder); }
};

// Each small pixel is the mean of the pixels below it (box filter).
GreyPicture shrunk(const GreyPicture& picture, int width_px, int height_px) {
  GreyPicture small{width_px, height_px, {}};
  small.grey.resize(static_cast<std::size_t>(width_px) * height_px);
  const auto edge = [](int i, int from, int to) {
    return static_cast<int>(static_cast<long long>(i) * from / to);
  };
  std::vector<std::uint64_t> sums(static_cast<std::size_t>(width_px));
  for (int row = 0; row < height_px; ++row) {
    const int top = edge(row, picture.height_px, height_px);
    const int bottom = edge(row + 1, picture.height_px, height_px);
    std::fill(sums.begin(), sums.end(), 0);
    for (int y = top; y < bottom; ++y) {
      const std::uint8_t* line = picture.grey.data() + static_cast<std::size_t>(y) * picture.width_px;
      for (int column = 0; column < width_px; ++column)
        for (int x = edge(column, picture.width_px, width_px),
                 right = edge(column + 1, picture.width_px, width_px);
             x < right; ++x)
          sums[column] += line[x];
    }
    for (int column = 0; column < width_px; ++column) {
      const int across =
          edge(column + 1, picture.width_px, width_px) - edge(column, picture.width_px, width_px);
      const auto count = static_cast<std::uint64_t>(across) * static_cast<std::uint64_t>(bottom - top);
      small.grey[static_cast<std::size_t>(row) * width_px + column] =
          static_cast<std::uint8_t>((sums[column] + count / 2) / count);
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
