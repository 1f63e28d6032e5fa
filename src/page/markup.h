// SPDX-License-Identifier: Apache-2.0
// Markup as a type of its own, so that text from users cannot reach a page without being escaped: the only
// way from std::string to Markup is `plain`, and elements are made whole by `element`.
//
// Everything made here is well-formed XML too (HTML in its XML-compatible writing).
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace pivotfix::report {

class Markup {
 public:
  const std::string& str() const { return markup_; }
  bool empty() const { return markup_.empty(); }

  Markup& operator+=(const Markup& other) {
    markup_ += other.markup_;
    return *this;
  }
  friend Markup operator+(Markup left, const Markup& right) { return left += right; }

  // For constants in our own source only.
  static Markup trusted(std::string_view markup) { return Markup(std::string(markup)); }

 private:
  friend Markup plain(std::string_view text);
  friend Markup element(std::string_view tag,
                        std::initializer_list<std::pair<std::string_view, std::string>> attributes,
                        const Markup& content);
  explicit Markup(std::string markup) : markup_(std::move(markup)) {}

  std::string markup_;

 public:
  Markup() = default;
};

using Attributes = std::initializer_list<std::pair<std::string_view, std::string>>;

// Text as text, for content and attribute values: markup characters escaped; bytes that are no UTF-8 and
// control characters, which no page may hold, become U+FFFD.
std::string escaped(std::string_view text);
Markup plain(std::string_view text);

Markup element(std::string_view tag, Attributes attributes, const Markup& content);
inline Markup element(std::string_view tag, const Markup& content) {
  return element(tag, {}, content);
}
inline Markup element(std::string_view tag, std::string_view text) {
  return element(tag, {}, plain(text));
}

Markup paragraph(std::string_view text, const std::string& css_class = {});
Markup bullets(const std::vector<std::string>& texts, const std::string& css_class = {});

// A picture under its heading, with what belongs below it; two of them side by side where there is room.
Markup figure(const std::string& heading, const Markup& picture, const Markup& below);
Markup caption(const std::string& text);
Markup pair(const Markup& left, const Markup& right);

enum class ColumnKind { text, number };
struct Column {
  std::string head{};
  ColumnKind kind = ColumnKind::text;
  std::string live{};       // name of texts in the page's data that follow its slider; empty: none do
  std::string live_head{};  // likewise for the head
};

// Cells are plain text, "\n" in one starts a new line; the first cell of a row heads it. In number columns
// "-" before a digit is set as a true minus sign.
Markup table(const std::string& caption, const std::vector<Column>& columns,
             const std::vector<std::vector<std::string>>& rows);

// Words that follow the page's slider: the first of the texts of that name.
Markup live_words(const std::string& tag, const std::string& css_class, const std::string& live,
                  const std::string& text);

// "-5.1" with U+2212 for the hyphen.
std::string with_minus(std::string_view number);

// A table, empty without rows; signs before digits are set as true minus signs in columns of words too.
Markup table_unless_empty(const std::string& caption_text, const std::vector<Column>& columns,
                          std::vector<std::vector<std::string>> rows);

}  // namespace pivotfix::report
