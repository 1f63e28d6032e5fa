// SPDX-License-Identifier: Apache-2.0
#include <turbojpeg.h>

#include <memory>

#include "base/problem.h"
#include "photos/picture_formats.h"

namespace pivotfix {
namespace {

struct DestroyDecoder {
  void operator()(void* decoder) const { tjDestroy(decoder); }
};

[[noreturn]] void refuse(const std::string& name, void* decoder) {
  throw Problem(ProblemKind::input,
                std::string("The JPEG is damaged or incomplete (") + tjGetErrorStr2(decoder) + ").",
                "Copy the photo from the camera again.", Place{name});
}

// A code word has one bit at least, and each 8 x 8 block of luma has one for its mean, whatever kind of JPEG
// a camera writes (ITU-T T.81, F.1.2 and G.1.2): fewer bytes do not hold the picture, but could claim the
// memory for it.
void check_length(std::size_t bytes, const GreyPicture& picture, const std::string& name) {
  constexpr long long most_pixels_per_byte = 8 * 64;
  const long long pixels = static_cast<long long>(picture.width_px) * picture.height_px;
  if (static_cast<long long>(bytes) >= pixels / most_pixels_per_byte) return;
  throw Problem(ProblemKind::input,
                "The JPEG is damaged or incomplete (it is too short for " + std::to_string(picture.width_px) +
                    " x " + std::to_string(picture.height_px) + " pixels).",
                "Copy the photo from the camera again.", Place{name});
}

}  // namespace

bool looks_like_jpeg(Bytes bytes) {
  return bytes.size() >= 3 && bytes[0] == 0xFF && bytes[1] == 0xD8 && bytes[2] == 0xFF;
}

GreyPicture decode_jpeg(Bytes bytes, const std::string& name) {
  const std::unique_ptr<void, DestroyDecoder> decoder(tjInitDecompress());
  if (!decoder) {
    throw Problem(ProblemKind::internal, "The JPEG decoder does not start.", "Free some memory.",
                  Place{name});
  }
  GreyPicture picture;
  int subsampling = 0;
  int colour_space = 0;
  const auto size = static_cast<unsigned long>(bytes.size());
  if (tjDecompressHeader3(decoder.get(), bytes.data(), size, &picture.width_px, &picture.height_px,
                          &subsampling, &colour_space) != 0) {
    refuse(name, decoder.get());
  }
  // The library makes no grey of inks, and calls the file damaged.
  if (colour_space == TJCS_CMYK || colour_space == TJCS_YCCK)
    throw Problem(ProblemKind::input, "The JPEG is coded for printing (CMYK).",
                  "Name the photo as the camera stored it.", Place{name});
  // A file that ends before its header does gives no error, but no size either.
  if (picture.width_px <= 0 || picture.height_px <= 0) refuse(name, decoder.get());
  check_picture_size(picture.width_px, picture.height_px, name);
  check_length(bytes.size(), picture, name);
  picture.grey.resize(static_cast<std::size_t>(picture.width_px) * picture.height_px);
  // A file that ends too early is only a warning to the library: half a photo in plain grey.
  // The limit on scans keeps a crafted progressive file from decoding for minutes.
  const int flags = TJFLAG_STOPONWARNING | TJFLAG_LIMITSCANS | TJFLAG_ACCURATEDCT;
  if (tjDecompress2(decoder.get(), bytes.data(), size, picture.grey.data(), picture.width_px, 0,
                    picture.height_px, TJPF_GRAY, flags) != 0) {
    refuse(name, decoder.get());
  }
  return picture;
}

}  // namespace pivotfix
