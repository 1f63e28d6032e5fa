// SPDX-License-Identifier: Apache-2.0
#include "page/page.h"

#include "page/base64.h"
#include "page/each_unit.h"
#include "page/page_files.h"

namespace pivotfix::report {
namespace {

// "'sha256-...'" as a content security policy names a script (W3C, CSP level 2).
std::string source_of_digest(std::string_view hexadecimal) {
  std::string bytes;
  for (std::size_t i = 0; i + 1 < hexadecimal.size(); i += 2)
    bytes += static_cast<char>(std::stoi(std::string(hexadecimal.substr(i, 2)), nullptr, 16));
  return "'sha256-" + base64(bytes) + "'";
}

std::string security_policy() {
  return "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src " +
         source_of_digest(page_script_sha256()) + " " + source_of_digest(library_script_sha256());
}

Markup meta(const std::string& name, const std::string& content) {
  return element("meta", {{"name", name}, {"content", content}}, Markup());
}

Markup head_of(const PageContent& content) {
  return element("meta", {{"charset", "utf-8"}}, Markup()) +
         element("meta", {{"http-equiv", "Content-Security-Policy"}, {"content", security_policy()}},
                 Markup()) +
         meta("viewport", "width=device-width, initial-scale=1") + element("title", content.title) +
         element("style", Markup::trusted(page_style()));
}

// JSON in a page: "<" could end the element, "&" is not XML. Both occur in JSON within strings only.
std::string fit_for_page(const std::string& json) {
  std::string text;
  text.reserve(json.size());
  for (char c : json) {
    if (c == '<')
      text += "\\u003c";
    else if (c == '>')
      text += "\\u003e";
    else if (c == '&')
      text += "\\u0026";
    else
      text += c;
  }
  return text;
}

Markup scripts_of(const PageContent& content) {
  Markup scripts;
  if (!content.data_json.empty())
    scripts += element("script", {{"type", "application/json"}, {"id", "data"}},
                       Markup::trusted(fit_for_page(content.data_json)));
  if (content.draws_in_space) scripts += element("script", Markup::trusted(library_script()));
  return scripts + element("script", Markup::trusted(page_script()));
}

}  // namespace

Markup unit_switch(LengthUnit shown_first) {
  Markup buttons = element("legend", "Lengths in");
  for (const LengthUnit unit : all_units) {
    const std::string name(name_of(unit));
    const Markup button = element("input",
                                  {{"type", "radio"},
                                   {"name", "unit"},
                                   {"value", name},
                                   {"checked", unit == shown_first ? "checked" : ""}},
                                  Markup());
    buttons += element("label", button + plain(" " + name)) + Markup::trusted("\n");
  }
  return element("fieldset", {{"id", "units"}, {"hidden", "hidden"}}, buttons) + Markup::trusted("\n");
}

std::string page_html(const PageContent& content) {
  const Markup body = element("body", {{"data-unit", std::string(name_of(content.unit))}},
                              content.body + scripts_of(content));
  return "<!DOCTYPE html>\n" +
         element("html", {{"lang", "en"}}, element("head", head_of(content)) + Markup::trusted("\n") + body)
             .str() +
         "\n";
}

}  // namespace pivotfix::report
