// SPDX-License-Identifier: Apache-2.0
// HEIC photos as phones take them. The picture is decoded as the sensor stored it, without the file's own
// turning.
#include <libheif/heif.h>

#include <algorithm>
#include <array>
#include <memory>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "photos/picture_formats.h"

namespace pivotfix {
namespace {

template <auto release>
struct Release {
  template <typename Thing>
  void operator()(Thing* thing) const {
    release(thing);
  }
};
using Context = std::unique_ptr<heif_context, Release<heif_context_free>>;
using Handle = std::unique_ptr<heif_image_handle, Release<heif_image_handle_release>>;
using Image = std::unique_ptr<heif_image, Release<heif_image_release>>;
using Options = std::unique_ptr<heif_decoding_options, Release<heif_decoding_options_free>>;
using Profile = std::unique_ptr<heif_color_profile_nclx, Release<heif_nclx_color_profile_free>>;

[[noreturn]] void refuse(const std::string& name, const std::string& detail) {
  throw Problem(ProblemKind::input, "The HEIC photo is damaged or incomplete (" + detail + ").",
                "Copy the photo from the camera again, or set the camera to JPEG (\"most compatible\").",
                Place{name});
}

void check(const heif_error& error, const std::string& name) {
  if (error.code != heif_error_Ok) refuse(name, error.message ? error.message : "no reason given");
}

struct OpenPhoto {
  Context context{};
  Handle handle{};
};

OpenPhoto open(Bytes bytes, const std::string& name) {
  OpenPhoto photo{Context(heif_context_alloc()), {}};
  check(heif_context_read_from_memory_without_copy(photo.context.get(), bytes.data(), bytes.size(), nullptr),
        name);
  heif_image_handle* handle = nullptr;
  check(heif_context_get_primary_image_handle(photo.context.get(), &handle), name);
  photo.handle.reset(handle);
  return photo;
}

Image decoded(const OpenPhoto& photo, heif_colorspace space, heif_chroma chroma, const std::string& name) {
  const Options options(heif_decoding_options_alloc());
  options->ignore_transformations = 1;
  heif_image* image = nullptr;
  check(heif_decode_image(photo.handle.get(), &image, space, chroma, options.get()), name);
  return Image(image);
}

// Luma of 16 to 235 where the file says so, as in video; else all 256 levels.
bool narrow_range(const Image& image, const OpenPhoto& photo) {
  heif_color_profile_nclx* found = nullptr;
  if (heif_image_get_nclx_color_profile(image.get(), &found).code != heif_error_Ok &&
      heif_image_handle_get_nclx_color_profile(photo.handle.get(), &found).code != heif_error_Ok)
    return false;
  const Profile profile(found);
  return profile && !profile->full_range_flag;
}

std::uint8_t widened(int level) {
  return static_cast<std::uint8_t>(std::clamp(((level - 16) * 255 + 109) / 219, 0, 255));
}

GreyPicture luma_of(const Image& image, bool narrow, const std::string& name) {
  int stride = 0;
  const std::uint8_t* plane = heif_image_get_plane_readonly(image.get(), heif_channel_Y, &stride);
  if (plane == nullptr) refuse(name, "it has no luma");
  GreyPicture picture;
  picture.width_px = heif_image_get_width(image.get(), heif_channel_Y);
  picture.height_px = heif_image_get_height(image.get(), heif_channel_Y);
  const int bits = heif_image_get_bits_per_pixel_range(image.get(), heif_channel_Y);
  check_picture_size(picture.width_px, picture.height_px, name);
  picture.grey.resize(static_cast<std::size_t>(picture.width_px) * picture.height_px);
  for (int y = 0; y < picture.height_px; ++y) {
    const std::uint8_t* row = plane + static_cast<std::ptrdiff_t>(y) * stride;
    std::uint8_t* grey = picture.grey.data() + static_cast<std::size_t>(y) * picture.width_px;
    for (int x = 0; x < picture.width_px; ++x) {
      // More than 8 bits stand in two bytes, in the machine's order.
      const int level = bits <= 8 ? row[x] : reinterpret_cast<const std::uint16_t*>(row)[x] >> (bits - 8);
      grey[x] = narrow ? widened(level) : static_cast<std::uint8_t>(level);
    }
  }
  return picture;
}

std::uint32_t big_endian(Bytes bytes, std::size_t at) {
  return static_cast<std::uint32_t>(bytes[at]) << 24 | static_cast<std::uint32_t>(bytes[at + 1]) << 16 |
         static_cast<std::uint32_t>(bytes[at + 2]) << 8 | bytes[at + 3];
}

// The content of the first box of this name among those that `bytes` holds; empty when there is none (ISO
// base media file format, ISO/IEC 14496-12: size, name, content).
Bytes box(Bytes bytes, std::string_view name) {
  while (bytes.size() >= 8) {
    const std::size_t size = big_endian(bytes, 0);
    if (size < 8 || size > bytes.size()) return {};
    if (std::equal(name.begin(), name.end(), bytes.begin() + 4)) return bytes.subspan(8, size - 8);
    bytes = bytes.subspan(size);
  }
  return {};
}

// How the file wants to be turned for showing, as EXIF says it; 0 when it does not say. Quarter turns against
// the clock in the box "irot" (ISO/IEC 23008-12). The library applies it or hides it.
int turning(Bytes bytes) {
  const Bytes meta = box(bytes, "meta");
  if (meta.size() < 4) return 0;
  const Bytes turn = box(box(box(meta.subspan(4), "iprp"), "ipco"), "irot");
  constexpr std::array<int, 4> exif_of_quarter_turns{1, 8, 3, 6};
  return turn.empty() ? 0 : exif_of_quarter_turns[turn[0] & 3];
}

// "Exif\0\0" and what follows, as it stands in a JPEG; empty when there is none. In HEIC four bytes before it
// say where the TIFF header begins.
std::vector<std::uint8_t> exif_block(const OpenPhoto& photo) {
  heif_item_id id = 0;
  if (heif_image_handle_get_list_of_metadata_block_IDs(photo.handle.get(), "Exif", &id, 1) != 1) return {};
  std::vector<std::uint8_t> data(heif_image_handle_get_metadata_size(photo.handle.get(), id));
  if (data.size() < 8 ||
      heif_image_handle_get_metadata(photo.handle.get(), id, data.data()).code != heif_error_Ok)
    return {};
  const std::size_t start = std::size_t{4} + big_endian(data, 0);
  if (start >= data.size()) return {};
  constexpr std::array<std::uint8_t, 6> head{'E', 'x', 'i', 'f', 0, 0};
  std::vector<std::uint8_t> block(head.begin(), head.end());
  block.insert(block.end(), data.begin() + static_cast<std::ptrdiff_t>(start), data.end());
  return block;
}

}  // namespace

// ISO base media file: box size, "ftyp", brand.
bool looks_like_heif(Bytes bytes) {
  constexpr std::string_view name = "ftyp";
  return bytes.size() >= 12 && std::equal(name.begin(), name.end(), bytes.begin() + 4);
}

GreyPicture decode_heif(Bytes bytes, const std::string& name) {
  const OpenPhoto photo = open(bytes, name);
  check_picture_size(heif_image_handle_get_ispe_width(photo.handle.get()),
                     heif_image_handle_get_ispe_height(photo.handle.get()), name);
  // As coded, so that luma is not computed from colours and back.
  Image image = decoded(photo, heif_colorspace_undefined, heif_chroma_undefined, name);
  if (heif_image_get_colorspace(image.get()) == heif_colorspace_RGB)
    image = decoded(photo, heif_colorspace_YCbCr, heif_chroma_444, name);
  return luma_of(image, narrow_range(image, photo), name);
}

ExifFacts read_heif_exif(Bytes bytes, const std::string& name) {
  ExifFacts facts;
  if (const std::vector<std::uint8_t> block = exif_block(open(bytes, name)); !block.empty())
    facts = read_exif(block);
  if (const int turn = turning(bytes); turn != 0) facts.orientation = turn;
  return facts;
}

}  // namespace pivotfix
