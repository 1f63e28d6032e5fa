// SPDX-License-Identifier: Apache-2.0
// Four numbers that are worked on at once. Private.
//
// A compiler's extension that GCC and Clang share. Sixteen bytes are what every processor of the kind has:
// with wider ones results would depend on the processor.
#pragma once

#include <cstdint>
#include <cstring>

namespace pivotfix {

using FourFloats = float __attribute__((vector_size(16)));
using FourInts = std::int32_t __attribute__((vector_size(16)));

inline FourFloats four_of(float value) {
  return FourFloats{value, value, value, value};
}

inline FourFloats load_four(const float* from) {
  FourFloats four;
  std::memcpy(&four, from, sizeof four);
  return four;
}

inline FourFloats within(FourFloats value, float low, float high) {
  const FourFloats least = four_of(low);
  const FourFloats most = four_of(high);
  value = value < least ? least : value;
  return value > most ? most : value;
}

// Zero from the `count`th on.
inline FourFloats first_of_four(FourFloats value, std::size_t count) {
  const auto limit = static_cast<std::int32_t>(count);
  const FourInts wanted = FourInts{0, 1, 2, 3} < FourInts{limit, limit, limit, limit};
  return wanted ? value : four_of(0.0F);
}

inline double sum_of(FourFloats value) {
  return (static_cast<double>(value[0]) + value[1]) + (static_cast<double>(value[2]) + value[3]);
}

struct Transposed {
  FourFloats row[4];
};

inline Transposed transposed(FourFloats a, FourFloats b, FourFloats c, FourFloats d) {
  const FourFloats ab_low = __builtin_shufflevector(a, b, 0, 4, 1, 5);
  const FourFloats ab_high = __builtin_shufflevector(a, b, 2, 6, 3, 7);
  const FourFloats cd_low = __builtin_shufflevector(c, d, 0, 4, 1, 5);
  const FourFloats cd_high = __builtin_shufflevector(c, d, 2, 6, 3, 7);
  return {{__builtin_shufflevector(ab_low, cd_low, 0, 1, 4, 5),
           __builtin_shufflevector(ab_low, cd_low, 2, 3, 6, 7),
           __builtin_shufflevector(ab_high, cd_high, 0, 1, 4, 5),
           __builtin_shufflevector(ab_high, cd_high, 2, 3, 6, 7)}};
}

}  // namespace pivotfix
