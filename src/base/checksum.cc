// SPDX-License-Identifier: Apache-2.0
#include "base/checksum.h"

#define XXH_INLINE_ALL  // nothing to load at the program's start
// Without NDEBUG the library states what it takes for granted, which clang-tidy needs to know.
#define XXH_DEBUGLEVEL 1
#include <xxhash.h>

#include <array>
#include <cstdio>

namespace pivotfix {

std::string xxh64(std::span<const std::uint8_t> bytes) {
  const XXH64_hash_t hash = XXH64(bytes.data(), bytes.size(), 0);
  std::array<char, 17> text{};
  std::snprintf(text.data(), text.size(), "%016llx", static_cast<unsigned long long>(hash));
  return text.data();
}

std::string xxh64(std::string_view text) {
  return xxh64(std::span(reinterpret_cast<const std::uint8_t*>(text.data()), text.size()));
}

}  // namespace pivotfix
