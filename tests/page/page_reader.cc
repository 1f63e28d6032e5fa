// SPDX-License-Identifier: Apache-2.0
#include "page/page_reader.h"

#include <expat.h>

#include <memory>

#include "base/length_words.h"

namespace pivotfix {
namespace {

struct Reading {
  Page page{};
  std::vector<std::size_t> open{};
};

void start(void* data, const XML_Char* name, const XML_Char** attributes) {
  auto& reading = *static_cast<Reading*>(data);
  PageElement element{name, {}, {}};
  for (; *attributes != nullptr; attributes += 2) element.attributes[attributes[0]] = attributes[1];
  reading.open.push_back(reading.page.elements.size());
  reading.page.elements.push_back(element);
}

void end(void* data, const XML_Char*) {
  static_cast<Reading*>(data)->open.pop_back();
}

void text(void* data, const XML_Char* content, int length) {
  auto& reading = *static_cast<Reading*>(data);
  if (reading.open.empty()) return;
  PageElement& element = reading.page.elements[reading.open.back()];
  const std::string piece = with_plain_spaces({content, static_cast<std::size_t>(length)});
  element.text += piece;
  if (element.tag != "style" && element.tag != "script") reading.page.text += piece;
}

}  // namespace

std::vector<PageElement> Page::with(const std::string& tag, const std::string& css_class) const {
  std::vector<PageElement> found;
  for (const PageElement& element : elements) {
    const auto at = element.attributes.find("class");
    if (element.tag == tag && at != element.attributes.end() && at->second == css_class)
      found.push_back(element);
  }
  return found;
}

Page read_page(const std::string& html) {
  Reading reading;
  const std::unique_ptr<XML_ParserStruct, decltype(&XML_ParserFree)> parser(XML_ParserCreate("UTF-8"),
                                                                            &XML_ParserFree);
  XML_SetUserData(parser.get(), &reading);
  XML_SetElementHandler(parser.get(), start, end);
  XML_SetCharacterDataHandler(parser.get(), text);
  if (XML_Parse(parser.get(), html.data(), static_cast<int>(html.size()), 1) != XML_STATUS_OK)
    reading.page.trouble = std::string(XML_ErrorString(XML_GetErrorCode(parser.get()))) + " in line " +
                           std::to_string(XML_GetCurrentLineNumber(parser.get()));
  return reading.page;
}

}  // namespace pivotfix
