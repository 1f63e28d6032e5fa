// SPDX-License-Identifier: Apache-2.0
#include "base/checksum.h"

#include <array>
#include <cstdio>

namespace pivotfix {

// Offset basis and prime as published by its authors (Fowler, Noll, Vo).
std::string fnv1a_64(std::span<const std::uint8_t> bytes) {
  std::uint64_t hash = 0xcbf29ce484222325ULL;
  for (const std::uint8_t byte : bytes) {
    hash ^= byte;
    hash *= 0x100000001b3ULL;
  }
  std::array<char, 17> text{};
  std::snprintf(text.data(), text.size(), "%016llx", static_cast<unsigned long long>(hash));
  return text.data();
}

std::string fnv1a_64(std::string_view text) {
  return fnv1a_64(std::span(reinterpret_cast<const std::uint8_t*>(text.data()), text.size()));
}

}  // namespace pivotfix
