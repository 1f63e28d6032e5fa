// SPDX-License-Identifier: Apache-2.0
#include "job/job.h"
#include "job/job_parts.h"

namespace pivotfix {

std::vector<KnownLength> read_known_lengths(const std::filesystem::path& file) {
  return known_lengths_from_text(
      text_of_file(file, "file of known lengths", "Check the path, or write one: docs/job-file.md"),
      file.string());
}

std::vector<KnownLength> known_lengths_from_text(const std::string& text, const std::string& name) {
  const TomlFile toml_file{name, LengthUnit::millimetre};
  const toml::table root = parse_toml(text, toml_file.name);
  const TomlTable top(toml_file, root, "known-lengths", "the file of known lengths");
  std::vector<KnownLength> lengths;
  const std::string example = "length = [{ between = [1, 2], is = \"400.12 mm\", sigma = \"0.02 mm\" }]";
  for (const TomlTable& table : top.require("length", example).tables("length", example)) {
    const auto [from, to] = table.require("between", "[1, 2]").two_tags();
    KnownLength length;
    length.from_tag = from;
    length.to_tag = to;
    length.length_mm = table.require("is", "\"400.12 mm\"").length_between_mm(1.0, 100000.0);
    length.sigma_mm = table.require("sigma", "\"0.02 mm\"").positive_length_mm();
    if (const auto line = table.find("line")) length.line = line->text();
    length.place = table.place();
    lengths.push_back(length);
  }
  return lengths;
}

}  // namespace pivotfix
