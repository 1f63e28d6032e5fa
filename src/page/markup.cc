// SPDX-License-Identifier: Apache-2.0
#include "page/markup.h"

#include <cstddef>

namespace pivotfix::report {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

// Length of the well-formed UTF-8 sequence at `text`, 0 when there is none (Unicode standard, table 3-7;
// surrogates and the two non-characters that XML forbids count as none).
std::size_t utf8_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u; };
  const auto follows = [&](std::size_t i) { return byte(i) >= 0x80u && byte(i) <= 0xBFu; };
  const unsigned first = byte(0);
  if (first < 0x80u) return 1;
  if (first >= 0xC2u && first <= 0xDFu) return follows(1) ? 2 : 0;
  if (first >= 0xE0u && first <= 0xEFu) {
    if (!follows(1) || !follows(2)) return 0;
    if ((first == 0xE0u && byte(1) < 0xA0u) || (first == 0xEDu && byte(1) > 0x9Fu)) return 0;
    if (first == 0xEFu && byte(1) == 0xBFu && byte(2) >= 0xBEu) return 0;
    return 3;
  }
  if (first >= 0xF0u && first <= 0xF4u) {
    if (!follows(1) || !follows(2) || !follows(3)) return 0;
    if ((first == 0xF0u && byte(1) < 0x90u) || (first == 0xF4u && byte(1) > 0x8Fu)) return 0;
    return 4;
  }
  return 0;
}

std::string_view escape_of(char c) {
  switch (c) {
    case '&':
      return "&amp;";
    case '<':
      return "&lt;";
    case '>':
      return "&gt;";
    case '"':
      return "&quot;";
    case '\'':
      return "&#39;";
    default:
      return {};
  }
}

bool forbidden_control(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (byte < 0x20u && c != '\n' && c != '\t') || byte == 0x7Fu;
}

Markup cell_content(std::string_view text, ColumnKind kind) {
  Markup content;
  for (std::size_t start = 0; start <= text.size();) {
    const std::size_t end = std::min(text.find('\n', start), text.size());
    if (start > 0) content += element("br", Markup());
    const std::string_view line = text.substr(start, end - start);
    content += plain(kind == ColumnKind::number ? with_minus(line) : std::string(line));
    start = end + 1;
  }
  return content;
}

}  // namespace

std::string escaped(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  while (!text.empty()) {
    const std::size_t length = utf8_length(text);
    if (length == 0 || (length == 1 && forbidden_control(text[0]))) {
      result += replacement;
      text.remove_prefix(1);
      continue;
    }
    const std::string_view escape = escape_of(text[0]);
    result += escape.empty() ? text.substr(0, length) : escape;
    text.remove_prefix(length);
  }
  return result;
}

Markup plain(std::string_view text) {
  return Markup(escaped(text));
}

Markup element(std::string_view tag, Attributes attributes, const Markup& content) {
  // HTML reads "<br></br>" as two breaks and "<p/>" as an open paragraph: each needs its own ending.
  const bool is_void = tag == "br" || tag == "meta" || tag == "input";
  std::string result = "<" + std::string(tag);
  for (const auto& [name, value] : attributes)
    if (!value.empty()) result += " " + std::string(name) + "=\"" + escaped(value) + "\"";
  if (is_void) return Markup(result + "/>");
  return Markup(result + ">" + content.str() + "</" + std::string(tag) + ">");
}

Markup paragraph(std::string_view text, const std::string& css_class) {
  return element("p", {{"class", css_class}}, plain(text)) + Markup::trusted("\n");
}

Markup bullets(const std::vector<std::string>& texts, const std::string& css_class) {
  Markup items;
  for (const std::string& text : texts) items += element("li", text) + Markup::trusted("\n");
  return element("ul", {{"class", css_class}}, items) + Markup::trusted("\n");
}

Markup table(const std::string& caption, const std::vector<Column>& columns,
             const std::vector<std::vector<std::string>>& rows) {
  const auto css = [&](std::size_t i) {
    return i < columns.size() && columns[i].kind == ColumnKind::number ? "number" : "";
  };
  Markup head;
  for (std::size_t i = 0; i < columns.size(); ++i)
    head += element("th",
                    {{"scope", "col"},
                     {"class", css(i)},
                     {"data-live", columns[i].live_head},
                     {"data-row", columns[i].live_head.empty() ? "" : "0"}},
                    cell_content(columns[i].head, ColumnKind::text));
  Markup body;
  std::size_t row_number = 0;
  for (const auto& row : rows) {
    Markup cells;
    for (std::size_t i = 0; i < row.size(); ++i) {
      const ColumnKind kind = i < columns.size() ? columns[i].kind : ColumnKind::text;
      const std::string live = i < columns.size() ? columns[i].live : std::string();
      cells += i == 0 ? element("th", {{"scope", "row"}, {"class", css(i)}}, cell_content(row[i], kind))
                      : element("td",
                                {{"class", css(i)},
                                 {"data-live", live},
                                 {"data-row", live.empty() ? "" : std::to_string(row_number)}},
                                cell_content(row[i], kind));
    }
    ++row_number;
    body += element("tr", cells) + Markup::trusted("\n");
  }
  Markup inside = caption.empty() ? Markup() : element("caption", caption);
  inside += element("thead", element("tr", head)) + Markup::trusted("\n") + element("tbody", body);
  return element("div", {{"class", "wide"}}, element("table", inside)) + Markup::trusted("\n");
}

Markup live_words(const std::string& tag, const std::string& css_class, const std::string& live,
                  const std::string& text) {
  return element(tag, {{"class", css_class}, {"data-live", live}, {"data-row", "0"}}, plain(text));
}

std::string with_minus(std::string_view number) {
  std::string result;
  for (std::size_t i = 0; i < number.size(); ++i) {
    const bool starts = i == 0 || number[i - 1] == ' ' || number[i - 1] == '(';
    const bool digit_next = i + 1 < number.size() && number[i + 1] >= '0' && number[i + 1] <= '9';
    if (number[i] == '-' && starts && digit_next)
      result += "\xE2\x88\x92";
    else
      result += number[i];
  }
  return result;
}

Markup figure(const std::string& heading, const Markup& picture, const Markup& below) {
  if (picture.empty()) return {};
  return element("figure", element("b", heading) + picture + below) + Markup::trusted("\n");
}

Markup caption(const std::string& text) {
  return element("figcaption", text);
}

Markup pair(const Markup& left, const Markup& right) {
  return element("div", {{"class", "pair"}}, element("div", left) + element("div", right));
}

Markup table_unless_empty(const std::string& caption_text, const std::vector<Column>& columns,
                          std::vector<std::vector<std::string>> rows) {
  if (rows.empty()) return {};
  for (auto& row : rows)
    for (std::string& cell : row) cell = with_minus(cell);
  return table(caption_text, columns, rows);
}

}  // namespace pivotfix::report
