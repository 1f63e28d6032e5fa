// SPDX-License-Identifier: Apache-2.0
#include "job/kept_entry.h"

#include "base/checksum.h"
#include "base/problem.h"
#include "job/text_file.h"
#include "job/whole_file.h"

namespace pivotfix {
namespace {

constexpr std::size_t checksum_line = 17;  // 16 digits and the line's end

std::string head(std::string_view what, std::string_view made_by) {
  return std::string(what) + "\n" + std::string(made_by) + "\n";
}

}  // namespace

std::size_t EntryReader::count(std::size_t bytes_each) {
  const auto value = number<std::uint64_t>();
  if (value > left_.size() / bytes_each) good_ = false;
  return good_ ? static_cast<std::size_t>(value) : 0;
}

std::string EntryReader::text() {
  const std::size_t size = count(1);
  std::string value(left_.substr(0, size));
  left_.remove_prefix(size);
  return value;
}

std::string entry_content(std::string_view what, std::string_view made_by, std::string_view payload) {
  return head(what, made_by) + xxh64(payload) + "\n" + std::string(payload);
}

OpenedEntry open_entry(std::string_view content, std::string_view what, std::string_view made_by) {
  const std::string start = head(what, made_by);
  if (!content.starts_with(what)) return {{}, true};
  if (!content.starts_with(start)) return {{}, content.size() < start.size()};  // by other code: no damage
  if (content.size() < start.size() + checksum_line) return {{}, true};
  const std::string_view payload = content.substr(start.size() + checksum_line);
  if (content.substr(start.size(), checksum_line) != xxh64(payload) + "\n") return {{}, true};
  return {payload, false};
}

std::optional<std::string> entry_in(const std::filesystem::path& file) {
  try {
    return text_of_file(file, "entry", "");
  } catch (const Problem&) {
    return std::nullopt;  // none, or nothing that could be one
  }
}

void keep_entry(const std::filesystem::path& file, const std::string& content) {
  std::error_code error;
  std::filesystem::create_directories(file.parent_path(), error);
  if (error) return;
  try {
    write_whole_file(file, content);
  } catch (const Problem&) {
    // As above.
  }
}

}  // namespace pivotfix
