// SPDX-License-Identifier: Apache-2.0
// Checksums that tell whether a file is still the same one. No protection against forgery.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace pivotfix {

// XXH64 with seed 0, as 16 hexadecimal digits.
std::string xxh64(std::span<const std::uint8_t> bytes);
std::string xxh64(std::string_view text);

}  // namespace pivotfix
