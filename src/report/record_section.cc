// SPDX-License-Identifier: Apache-2.0
// What the hardpoints were made from, so that the same result can be made again.
#include "report/sections.h"

namespace pivotfix::report {
namespace {

std::string when_and_who(const HardpointSet& set) {
  const Record& record = set.record;
  std::string words = "The hardpoints";
  if (!record.car.empty()) words += " of " + record.car;
  if (!record.date.empty()) words += ", measured on " + record.date;
  if (!record.who.empty()) words += " by " + record.who;
  words += ", were found by pivotfix " + set.program_version + " from these files";
  for (const std::string& option : record.options) words += ", " + option;
  return words + ".";
}

}  // namespace

Markup record_section(const ReportInput& input) {
  const Record& record = input.hardpoints.record;
  if (record.files.empty()) return {};
  std::vector<std::vector<std::string>> rows;
  for (const InputFile& file : record.files) rows.push_back({file.name, file.checksum});
  return element("details", element("summary", "What this was made from") +
                                paragraph(when_and_who(input.hardpoints)) +
                                table("Files and their checksums (XXH64)", {{"file"}, {"checksum"}}, rows));
}

}  // namespace pivotfix::report
