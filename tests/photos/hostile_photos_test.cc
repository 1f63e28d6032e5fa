// SPDX-License-Identifier: Apache-2.0
// Photos from strangers that claim more than they hold: refused, or read within bounded memory.
#include <gtest/gtest.h>
#include <png.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <turbojpeg.h>
#include <unistd.h>
#include <zlib.h>

#include <algorithm>
#include <functional>
#include <vector>

#include "base/problem.h"
#include "photos/photo_file.h"

namespace pivotfix {
namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes png_of(int width_px, int height_px, std::uint8_t level) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(width_px);
  image.height = static_cast<png_uint_32>(height_px);
  image.format = PNG_FORMAT_GRAY;
  const Bytes grey(static_cast<std::size_t>(width_px) * height_px, level);
  png_alloc_size_t size = 0;
  EXPECT_TRUE(png_image_write_to_memory(&image, nullptr, &size, 0, grey.data(), 0, nullptr));
  Bytes bytes(size);
  EXPECT_TRUE(png_image_write_to_memory(&image, bytes.data(), &size, 0, grey.data(), 0, nullptr));
  return bytes;
}

Bytes jpeg_of(int width_px, int height_px, int flags) {
  const Bytes grey(static_cast<std::size_t>(width_px) * height_px, 200);
  const tjhandle coder = tjInitCompress();
  unsigned char* data = nullptr;
  unsigned long size = 0;
  EXPECT_EQ(tjCompress2(coder, grey.data(), width_px, 0, height_px, TJPF_GRAY, &data, &size, TJSAMP_GRAY, 90,
                        flags),
            0);
  Bytes bytes(data, data + size);
  tjFree(data);
  tjDestroy(coder);
  return bytes;
}

void put_big_endian(Bytes& bytes, std::size_t at, std::uint32_t value, int width) {
  for (int i = 0; i < width; ++i)
    bytes[at + static_cast<std::size_t>(i)] = static_cast<std::uint8_t>(value >> (8 * (width - 1 - i)));
}

void claim_png_size(Bytes& png, std::uint32_t width_px, std::uint32_t height_px) {
  put_big_endian(png, 16, width_px, 4);
  put_big_endian(png, 20, height_px, 4);
  put_big_endian(png, 29, static_cast<std::uint32_t>(::crc32(0, png.data() + 12, 17)), 4);
}

void claim_jpeg_size(Bytes& jpeg, std::uint32_t width_px, std::uint32_t height_px) {
  std::size_t at = 0;
  while (!(jpeg[at] == 0xFF && (jpeg[at + 1] == 0xC0 || jpeg[at + 1] == 0xC2))) ++at;
  put_big_endian(jpeg, at + 5, height_px, 2);
  put_big_endian(jpeg, at + 7, width_px, 2);
}

std::string complaint_about(const Bytes& bytes) {
  try {
    decode_photo({"a photo", bytes, ""});
  } catch (const Problem& problem) {
    return problem.what_happened();
  }
  return "";
}

// What the work adds to the process' largest memory, in megabytes; in a process of its own.
long megabytes_for(const std::function<void()>& work) {
  int way[2] = {};
  EXPECT_EQ(::pipe(way), 0);
  const pid_t child = ::fork();
  if (child == 0) {
    rusage before{}, after{};
    ::getrusage(RUSAGE_SELF, &before);
    work();
    ::getrusage(RUSAGE_SELF, &after);
    const long grown = (after.ru_maxrss - before.ru_maxrss) / 1024;
    ::_exit(::write(way[1], &grown, sizeof grown) == sizeof grown ? 0 : 1);
  }
  long grown = -1;
  ::close(way[1]);
  EXPECT_EQ(::read(way[0], &grown, sizeof grown), static_cast<ssize_t>(sizeof grown));
  ::close(way[0]);
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_EQ(status, 0);
  return grown;
}

TEST(HostilePhotos, HeadersOf65000SquareAreRefused) {
  Bytes png = png_of(16, 12, 9);
  claim_png_size(png, 65000, 65000);
  EXPECT_EQ(complaint_about(png), "The picture is 65000 x 65000 pixels, more than 200 megapixels.");
  Bytes jpeg = jpeg_of(64, 48, 0);
  claim_jpeg_size(jpeg, 65000, 65000);
  EXPECT_EQ(complaint_about(jpeg), "The picture is 65000 x 65000 pixels, more than 200 megapixels.");
}

TEST(HostilePhotos, AJpegThatIsTooShortForItsSizeClaimsNoMemory) {
  for (const int flags : {0, TJFLAG_PROGRESSIVE}) {
    Bytes jpeg = jpeg_of(64, 48, flags);
    claim_jpeg_size(jpeg, 14000, 14000);
    EXPECT_EQ(complaint_about(jpeg),
              "The JPEG is damaged or incomplete (it is too short for 14000 x 14000 pixels).");
    EXPECT_LT(megabytes_for([&] { complaint_about(jpeg); }), 20);
  }
}

TEST(HostilePhotos, TheLeastThatAPictureTakesIsNotTooShort) {
  for (const int flags : {0, TJFLAG_PROGRESSIVE}) EXPECT_EQ(complaint_about(jpeg_of(4000, 3000, flags)), "");
}

// 190 kB that become 196 megapixels: what a photo may be, so it is read, and takes no more than a photo may.
TEST(HostilePhotos, ABombOfZerosTakesNoMoreMemoryThanAPhotoMay) {
  const Bytes bomb = png_of(14000, 14000, 0);
  ASSERT_LT(bomb.size(), 300'000u);
  EXPECT_LT(megabytes_for([&] {
              const Photo photo = decode_photo({"a.png", bomb, ""});
              if (photo.picture.grey.size() != 196'000'000u) ::_exit(3);
            }),
            300);
}

}  // namespace
}  // namespace pivotfix
