// SPDX-License-Identifier: Apache-2.0
// What the files in the folder beside the job are made of. Three lines of text (what it is, which code made
// it, checksum of the rest), then numbers as they stand in memory: the same bits come back, on this kind of
// machine. Private to the job stage.
#pragma once

#include <cstdint>
#include <cstring>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>

namespace pivotfix {

class EntryWriter {
 public:
  template <typename Number>
  void number(Number value) {
    static_assert(std::is_arithmetic_v<Number>);
    bytes_.append(reinterpret_cast<const char*>(&value), sizeof value);
  }
  void text(const std::string& value) {
    number(static_cast<std::uint64_t>(value.size()));
    bytes_ += value;
  }
  const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_{};
};

// After the first read beyond the end everything read is zero or empty, and `good_to_the_end` is false.
class EntryReader {
 public:
  explicit EntryReader(std::string_view bytes) : left_(bytes) {}

  template <typename Number>
  Number number() {
    Number value{};
    if (left_.size() < sizeof value) {
      good_ = false;
      return value;
    }
    std::memcpy(&value, left_.data(), sizeof value);
    left_.remove_prefix(sizeof value);
    return value;
  }
  // Never more than what is left could hold, with at least so many bytes each: a number that lies costs no
  // memory.
  std::size_t count(std::size_t bytes_each);
  std::string text();
  bool good_to_the_end() const { return good_ && left_.empty(); }

 private:
  std::string_view left_;
  bool good_ = true;
};

// The file's content. `what` and `made_by` have no line breaks.
std::string entry_content(std::string_view what, std::string_view made_by, std::string_view payload);

struct OpenedEntry {
  std::optional<std::string_view> payload{};  // of `content`; none: damaged, or made by other code
  bool damaged = false;
};
OpenedEntry open_entry(std::string_view content, std::string_view what, std::string_view made_by);

// The content of an entry's file, where there is one. Where nothing can be written, nothing is kept: that
// costs time only.
std::optional<std::string> entry_in(const std::filesystem::path& file);
void keep_entry(const std::filesystem::path& file, const std::string& content);

}  // namespace pivotfix
