// SPDX-License-Identifier: Apache-2.0
#include "page/each_unit.h"

#include <algorithm>

#include "page/numbers.h"
#include "page/unbroken.h"

namespace pivotfix::report {
namespace {

Markup choose(std::string_view tag, const std::array<Markup, all_units.size()>& variants) {
  const bool same = std::all_of(variants.begin(), variants.end(),
                                [&](const Markup& one) { return one.str() == variants.front().str(); });
  if (same) return variants.front();
  Markup all;
  for (std::size_t i = 0; i < variants.size(); ++i)
    all += element(tag, {{"class", unit_class(all_units[i])}}, variants[i]);
  return all;
}

}  // namespace

std::string unit_class(LengthUnit unit) {
  return "unit-" + std::string(name_of(unit));
}

Markup in_each_unit(const std::function<Markup(LengthUnit)>& make) {
  std::array<Markup, all_units.size()> variants;
  for (std::size_t i = 0; i < variants.size(); ++i) variants[i] = make(all_units[i]);
  return choose("div", variants);
}

Markup words_in_each_unit(const std::function<std::string(LengthUnit)>& words) {
  std::array<Markup, all_units.size()> variants;
  for (std::size_t i = 0; i < variants.size(); ++i) variants[i] = plain(unbroken(words(all_units[i])));
  return choose("span", variants);
}

Markup lengths_in_each_unit(const std::string& words) {
  return words_in_each_unit([&](LengthUnit unit) { return lengths_in(words, unit); });
}

Markup bullets_in_each_unit(const std::vector<std::string>& texts) {
  Markup items;
  for (const std::string& text : texts)
    items += element("li", lengths_in_each_unit(text)) + Markup::trusted("\n");
  return element("ul", items) + Markup::trusted("\n");
}

}  // namespace pivotfix::report
