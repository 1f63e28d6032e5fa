// SPDX-License-Identifier: Apache-2.0
// Files are written here with the format libraries' own encoders, so what is read back has a known truth.
// Not proved: that every camera's files can be read.
#include "photos/photos.h"

#include <gtest/gtest.h>
#include <libexif/exif-data.h>
#include <png.h>
#include <turbojpeg.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <functional>

#include "base/problem.h"
#include "base/temporary_folder.h"
#include "photos/heic_maker.h"
#include "photos/photo_file.h"

namespace pivotfix {
namespace {

using Bytes = std::vector<std::uint8_t>;

class Photos : public testing::Test {
 protected:
  std::filesystem::path write(const std::string& name, const Bytes& bytes) const {
    std::ofstream(folder_ / name, std::ios::binary)
        .write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
    return folder_ / name;
  }

  const TemporaryFolder temporary_{};
  const std::filesystem::path folder_ = temporary_.path();
};

// A ramp with a bright block in the top left corner, so that turning or mirroring would show.
GreyPicture lopsided_picture(int width, int height) {
  GreyPicture picture{width, height, Bytes(static_cast<std::size_t>(width) * height)};
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      picture.grey[static_cast<std::size_t>(y) * width + x] = static_cast<std::uint8_t>(
          x < width / 4 && y < height / 4 ? 240 : 20 + 100 * x / width + 40 * y / height);
    }
  }
  return picture;
}

Bytes jpeg_of(const GreyPicture& picture) {
  const tjhandle coder = tjInitCompress();
  unsigned char* data = nullptr;
  unsigned long size = 0;
  EXPECT_EQ(tjCompress2(coder, picture.grey.data(), picture.width_px, 0, picture.height_px, TJPF_GRAY, &data,
                        &size, TJSAMP_GRAY, 98, 0),
            0);
  Bytes bytes(data, data + size);
  tjFree(data);
  tjDestroy(coder);
  return bytes;
}

Bytes png_of(const GreyPicture& picture) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(picture.width_px);
  image.height = static_cast<png_uint_32>(picture.height_px);
  image.format = PNG_FORMAT_GRAY;
  png_alloc_size_t size = 0;
  EXPECT_TRUE(png_image_write_to_memory(&image, nullptr, &size, 0, picture.grey.data(), 0, nullptr));
  Bytes bytes(size);
  EXPECT_TRUE(png_image_write_to_memory(&image, bytes.data(), &size, 0, picture.grey.data(), 0, nullptr));
  bytes.resize(size);
  return bytes;
}

void add_entry(ExifData* data, ExifIfd ifd, ExifTag tag, ExifFormat format, unsigned long components,
               const Bytes& value) {
  ExifEntry* entry = exif_entry_new();
  exif_content_add_entry(data->ifd[ifd], entry);
  entry->tag = tag;
  entry->format = format;
  entry->components = components;
  entry->size = static_cast<unsigned int>(value.size());
  entry->data = static_cast<unsigned char*>(std::malloc(value.size()));
  std::memcpy(entry->data, value.data(), value.size());
  exif_entry_unref(entry);
}

Bytes text(const std::string& value) {
  return Bytes(value.c_str(), value.c_str() + value.size() + 1);
}
Bytes short_integer(ExifByteOrder order, std::uint16_t value) {
  Bytes bytes(2);
  exif_set_short(bytes.data(), order, value);
  return bytes;
}
Bytes rational(ExifByteOrder order, std::uint32_t numerator, std::uint32_t denominator) {
  Bytes bytes(8);
  exif_set_rational(bytes.data(), order, {numerator, denominator});
  return bytes;
}

// Puts an APP1 segment with EXIF right after the JPEG's start marker.
Bytes with_exif(const Bytes& jpeg, const std::function<void(ExifData*, ExifByteOrder)>& fill,
                ExifByteOrder order) {
  ExifData* data = exif_data_new();
  exif_data_set_byte_order(data, order);
  fill(data, order);
  unsigned char* block = nullptr;
  unsigned int size = 0;
  exif_data_save_data(data, &block, &size);
  exif_data_unref(data);
  const unsigned int length = size + 2;
  Bytes bytes(jpeg.size() + size + 4);
  const std::array<std::uint8_t, 6> head{
      0xFF, 0xD8, 0xFF, 0xE1, static_cast<std::uint8_t>(length >> 8), static_cast<std::uint8_t>(length)};
  auto to = std::copy(head.begin(), head.end(), bytes.begin());
  to = std::copy(block, block + size, to);
  std::copy(jpeg.begin() + 2, jpeg.end(), to);
  std::free(block);
  return bytes;
}

void fill_invented_camera(ExifData* data, ExifByteOrder order) {
  add_entry(data, EXIF_IFD_0, EXIF_TAG_MAKE, EXIF_FORMAT_ASCII, 12, text("Invented  \t"));
  add_entry(data, EXIF_IFD_0, EXIF_TAG_MODEL, EXIF_FORMAT_ASCII, 8, text("Phone 1"));
  add_entry(data, EXIF_IFD_0, EXIF_TAG_ORIENTATION, EXIF_FORMAT_SHORT, 1, short_integer(order, 6));
  add_entry(data, EXIF_IFD_EXIF, EXIF_TAG_LENS_MODEL, EXIF_FORMAT_ASCII, 10, text("Main lens"));
  add_entry(data, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH, EXIF_FORMAT_RATIONAL, 1, rational(order, 5960, 1000));
  add_entry(data, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM, EXIF_FORMAT_SHORT, 1,
            short_integer(order, 26));
  add_entry(data, EXIF_IFD_EXIF, EXIF_TAG_DIGITAL_ZOOM_RATIO, EXIF_FORMAT_RATIONAL, 1, rational(order, 3, 2));
}

void expect_refused(const std::filesystem::path& file, const std::string& what) {
  try {
    read_photo(file, "shown.jpg");
    FAIL() << "not refused";
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::input);
    EXPECT_EQ(problem.place().file, "shown.jpg");
    EXPECT_NE(problem.what_happened().find(what), std::string::npos) << problem.what();
    EXPECT_FALSE(problem.remedy().empty());
  }
}

void expect_near(const GreyPicture& read, const GreyPicture& truth, int tolerance) {
  ASSERT_EQ(read.width_px, truth.width_px);
  ASSERT_EQ(read.height_px, truth.height_px);
  ASSERT_EQ(read.grey.size(), truth.grey.size());
  int worst = 0;
  for (std::size_t i = 0; i < truth.grey.size(); ++i)
    worst = std::max(worst, std::abs(read.grey[i] - truth.grey[i]));
  EXPECT_LE(worst, tolerance);
}

TEST_F(Photos, ReadsTheGreyValuesOfAJpeg) {
  const GreyPicture truth = lopsided_picture(64, 48);
  const Photo photo = read_photo(write("a.jpg", jpeg_of(truth)), "a.jpg");
  expect_near(photo.picture, truth, 12);
  EXPECT_EQ(photo.name, "a.jpg");
  EXPECT_EQ(photo.camera.width_px, 64);
  EXPECT_EQ(photo.camera.height_px, 48);
  EXPECT_EQ(photo.camera.model, "");
  EXPECT_EQ(photo.camera.digital_zoom, 1.0);
  EXPECT_EQ(photo.exif_orientation, 1);
}

TEST_F(Photos, ReadsTheGreyValuesOfAPngExactly) {
  const GreyPicture truth = lopsided_picture(51, 37);
  expect_near(read_photo(write("a.png", png_of(truth)), "a.png").picture, truth, 0);
}

// Flag 6: the first stored row is shown as the column on the right (EXIF 2.32, Orientation).
TEST_F(Photos, LaysDownAPictureThatAProgramHasStoodUpright) {
  const GreyPicture upright = lopsided_picture(37, 51);
  GreyPicture lying{51, 37, std::vector<std::uint8_t>(51 * 37)};
  for (int row = 0; row < 51; ++row)
    for (int column = 0; column < 37; ++column)
      lying.grey[static_cast<std::size_t>(36 - column) * 51 + row] = upright.grey[row * 37 + column];
  const Photo photo = read_photo(write("a.png", png_of(upright)), "a.png");
  expect_near(photo.picture, lying, 0);
  EXPECT_EQ(photo.camera.width_px, 51);
  EXPECT_EQ(photo.exif_orientation, 6);
}

TEST_F(Photos, ReadsWhatTheCameraSaysInEitherByteOrder) {
  for (const ExifByteOrder order : {EXIF_BYTE_ORDER_INTEL, EXIF_BYTE_ORDER_MOTOROLA}) {
    const Bytes bytes = with_exif(jpeg_of(lopsided_picture(64, 48)), fill_invented_camera, order);
    const Photo photo = read_photo(write("a.jpg", bytes), "a.jpg");
    EXPECT_EQ(photo.camera.make, "Invented");
    EXPECT_EQ(photo.camera.model, "Phone 1");
    EXPECT_EQ(photo.camera.lens_model, "Main lens");
    EXPECT_DOUBLE_EQ(photo.camera.focal_length_mm, 5.96);
    EXPECT_DOUBLE_EQ(photo.camera.focal_length_35mm_mm, 26.0);
    EXPECT_DOUBLE_EQ(photo.camera.digital_zoom, 1.5);
    EXPECT_EQ(photo.exif_orientation, 6);
  }
}

TEST_F(Photos, NeverTurnsThePictureByTheExifFlag) {
  const GreyPicture truth = lopsided_picture(64, 48);
  const Bytes bytes = with_exif(jpeg_of(truth), fill_invented_camera, EXIF_BYTE_ORDER_INTEL);
  expect_near(read_photo(write("a.jpg", bytes), "a.jpg").picture, truth, 12);
}

// Programs that copy photos may leave a comment, or what they know themselves, before the camera's block.
TEST_F(Photos, ReadsWhatTheCameraSaysBehindOtherSegments) {
  const Bytes plain =
      with_exif(jpeg_of(lopsided_picture(64, 48)), fill_invented_camera, EXIF_BYTE_ORDER_INTEL);
  const Bytes comment{0xFF, 0xFE, 0x00, 0x04, 'h', 'i'}, fill{0xFF, 0xFF},
      other{0xFF, 0xE1, 0x00, 0x05, 'E', 'x', 'i'};
  for (const std::vector<Bytes>& before :
       {std::vector<Bytes>{comment}, {other, comment}, {comment, fill, comment}}) {
    Bytes bytes(plain.begin(), plain.begin() + 2);
    for (const Bytes& segment : before) bytes.insert(bytes.end(), segment.begin(), segment.end());
    bytes.insert(bytes.end(), plain.begin() + 2, plain.end());
    const Photo photo = read_photo(write("a.jpg", bytes), "a.jpg");
    EXPECT_EQ(photo.camera.model, "Phone 1");
    EXPECT_EQ(photo.exif_orientation, 6);
  }
}

// Lengths that lead past the file's end, or nowhere, are an end.
TEST_F(Photos, TakesSegmentsWithoutAnEndForNoExif) {
  const Bytes start{0xFF, 0xD8};
  for (const Bytes& segment : {Bytes{0xFF, 0xFE, 0xFF, 0xFF, 'h', 'i'},
                               {0xFF, 0xFE, 0x00, 0x00},
                               {0xFF, 0xFE, 0x00},
                               {0xFF, 0xFF, 0xFF},
                               {0xFF, 0xE1, 0x00, 0x0A, 'E', 'x', 'i', 'f', 0, 0}}) {
    PhotoFile file{"cut.jpg", start, {}};
    file.bytes.insert(file.bytes.end(), segment.begin(), segment.end());
    EXPECT_EQ(time_taken(file), "");
  }
}

TEST_F(Photos, TakesZeroZoomAndZeroDenominatorsForNotStated) {
  const auto fill = [](ExifData* data, ExifByteOrder order) {
    add_entry(data, EXIF_IFD_EXIF, EXIF_TAG_FOCAL_LENGTH, EXIF_FORMAT_RATIONAL, 1, rational(order, 5, 0));
    add_entry(data, EXIF_IFD_EXIF, EXIF_TAG_DIGITAL_ZOOM_RATIO, EXIF_FORMAT_RATIONAL, 1,
              rational(order, 0, 1));
    add_entry(data, EXIF_IFD_0, EXIF_TAG_ORIENTATION, EXIF_FORMAT_SHORT, 1, short_integer(order, 9));
  };
  const Bytes bytes = with_exif(jpeg_of(lopsided_picture(64, 48)), fill, EXIF_BYTE_ORDER_INTEL);
  const Photo photo = read_photo(write("a.jpg", bytes), "a.jpg");
  EXPECT_EQ(photo.camera.focal_length_mm, 0.0);
  EXPECT_EQ(photo.camera.digital_zoom, 1.0);
  EXPECT_EQ(photo.exif_orientation, 1);
}

TEST_F(Photos, ReadsTheSamePictureWhenExifIsGarbage) {
  const GreyPicture truth = lopsided_picture(64, 48);
  Bytes bytes = with_exif(jpeg_of(truth), fill_invented_camera, EXIF_BYTE_ORDER_INTEL);
  for (std::size_t i = 12; i < 60; ++i) bytes[i] = static_cast<std::uint8_t>(0xA5 ^ (37 * i));
  expect_near(read_photo(write("a.jpg", bytes), "a.jpg").picture, truth, 12);
}

// `printf pivotfix | xxhsum -H1`
TEST_F(Photos, ChecksumIsXxh64OfTheFile) {
  const std::string text = "pivotfix";
  EXPECT_EQ(read_photo_file(write("a.png", Bytes(text.begin(), text.end())), "a.png").checksum,
            "0fd7c6e85e975c03");
}

// heif-enc makes phones' format from a JPEG, with its EXIF block and its turning flag.
class HeicPhotos : public Photos {
 protected:
  Bytes jpeg_ = with_exif(jpeg_of(lopsided_picture(128, 96)), fill_invented_camera, EXIF_BYTE_ORDER_INTEL);
};

TEST_F(HeicPhotos, AreReadAsStoredWithWhatTheCameraSays) {
  write("a.jpg", jpeg_);
  const Photo photo = read_photo(heic_of(folder_ / "a.jpg"), "a.heic");
  expect_near(photo.picture, lopsided_picture(128, 96), 16);
  EXPECT_EQ(photo.camera.make, "Invented");
  EXPECT_EQ(photo.camera.model, "Phone 1");
  EXPECT_DOUBLE_EQ(photo.camera.focal_length_mm, 5.96);
  EXPECT_EQ(photo.camera.width_px, 128);
  EXPECT_EQ(photo.exif_orientation, 6);
}

TEST_F(HeicPhotos, MadeFromAPngWithoutExifAreReadToo) {
  write("plain.png", png_of(lopsided_picture(128, 96)));
  const Photo photo = read_photo(heic_of(folder_ / "plain.png"), "plain.heic");
  expect_near(photo.picture, lopsided_picture(128, 96), 16);
  EXPECT_EQ(photo.camera.make, "");
  EXPECT_EQ(photo.exif_orientation, 1);
}

TEST_F(HeicPhotos, CutOffAnywhereAreRefused) {
  write("a.jpg", jpeg_);
  const Bytes whole = bytes_of(heic_of(folder_ / "a.jpg"));
  for (const double share : {0.02, 0.1, 0.3, 0.5, 0.7, 0.9}) {
    SCOPED_TRACE(share);
    const auto kept = static_cast<std::ptrdiff_t>(share * static_cast<double>(whole.size()));
    expect_refused(
        write("cut.heic", Bytes(whole.begin(), whole.begin() + std::max<std::ptrdiff_t>(kept, 16))),
        "damaged or incomplete");
  }
}

TEST_F(Photos, RefusesAMissingFile) {
  expect_refused(folder_ / "nowhere.jpg", "no such photo");
}

TEST_F(Photos, RefusesAFolder) {
  expect_refused(folder_, "folder");
}

TEST_F(Photos, RefusesAnEmptyFile) {
  expect_refused(write("a.jpg", {}), "empty");
}

TEST_F(Photos, RefusesWhatIsNoPicture) {
  expect_refused(write("a.jpg", text("title = \"not a picture\"")), "neither a JPEG nor a PNG nor a HEIC");
}

TEST_F(Photos, RefusesAHeicThatHoldsNothing) {
  Bytes bytes = {0, 0, 0, 24};
  const Bytes brand = text("ftypheic0000mif1heic");
  bytes.insert(bytes.end(), brand.begin(), brand.end());
  expect_refused(write("a.heic", bytes), "HEIC photo is damaged or incomplete");
}

TEST_F(Photos, RefusesAJpegCutOffAnywhere) {
  const Bytes whole = jpeg_of(lopsided_picture(320, 240));
  for (const double share : {0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99}) {
    const auto kept = static_cast<std::ptrdiff_t>(share * static_cast<double>(whole.size()));
    SCOPED_TRACE(share);
    const Bytes cut(whole.begin(), whole.begin() + std::max<std::ptrdiff_t>(kept, 4));
    expect_refused(write("cut.jpg", cut), "damaged or incomplete");
  }
}

TEST_F(Photos, RefusesAJpegInInksAndSaysWhatItIs) {
  const Bytes inks(std::size_t{4} * 64 * 48, 90);
  for (const int subsampling : {TJSAMP_444, TJSAMP_420}) {
    const tjhandle coder = tjInitCompress();
    unsigned char* data = nullptr;
    unsigned long size = 0;
    ASSERT_EQ(tjCompress2(coder, inks.data(), 64, 0, 48, TJPF_CMYK, &data, &size, subsampling, 90, 0), 0);
    expect_refused(write("inks.jpg", Bytes(data, data + size)), "coded for printing (CMYK)");
    tjFree(data);
    tjDestroy(coder);
  }
}

TEST_F(Photos, RefusesAPngCutOffAnywhere) {
  const Bytes whole = png_of(lopsided_picture(320, 240));
  for (const double share : {0.1, 0.3, 0.5, 0.7, 0.9}) {
    const auto kept = static_cast<std::ptrdiff_t>(share * static_cast<double>(whole.size()));
    SCOPED_TRACE(share);
    expect_refused(write("cut.png", Bytes(whole.begin(), whole.begin() + std::max<std::ptrdiff_t>(kept, 9))),
                   "damaged or incomplete");
  }
}

// The size in the start-of-frame segment is raised to 65500 x 65500: 4 gigapixels nobody must allocate.
TEST_F(Photos, RefusesAJpegHeaderOfMoreThan200Megapixels) {
  Bytes bytes = jpeg_of(lopsided_picture(64, 48));
  std::size_t at = 0;
  while (!(bytes[at] == 0xFF && bytes[at + 1] == 0xC0)) ++at;
  for (const std::size_t i : {5U, 7U}) {
    bytes[at + i] = 0xFF;
    bytes[at + i + 1] = 0xDC;
  }
  expect_refused(write("a.jpg", bytes), "more than 200 megapixels");
}

}  // namespace
}  // namespace pivotfix
