// SPDX-License-Identifier: Apache-2.0
#include "cli/diagnosis.h"

#include <algorithm>
#include <fstream>
#include <map>
#include <set>

#include "cli/job_options.h"
#include "page/text_layout.h"
#include "report/report.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

constexpr const char* first_line = "Diagnosis of a job that was refused";

std::string photo_lines(const FoundSoFar& found) {
  if (found.photos.empty()) return {};
  std::string text = "\nTags in the photos\n";
  for (const FoundSoFar::PhotoTags& photo : found.photos) {
    std::string tags;
    for (const int tag : photo.tags) tags += (tags.empty() ? "" : " ") + std::to_string(tag);
    text += report::wrapped(report::printable(photo.camera) + ": " + (tags.empty() ? "none" : tags),
                            "  " + report::printable(photo.photo) + ", ");
  }
  return text;
}

std::string needed_lines(const Job& job, const FoundSoFar& found) {
  if (found.photos.empty()) return {};
  std::map<int, std::set<std::string>> roles;
  for (const TagUse& use : job.tag_uses) roles[use.tag].insert(use.words);
  std::string text = "\nTags that the job needs\n";
  for (const auto& [tag, uses] : roles) {
    std::string words;
    for (const std::string& use : uses) words += (words.empty() ? "" : ", ") + use;
    const auto photos =
        std::count_if(found.photos.begin(), found.photos.end(), [number = tag](const auto& photo) {
          return std::binary_search(photo.tags.begin(), photo.tags.end(), number);
        });
    text += report::wrapped(words + ": in " + std::to_string(photos) + (photos == 1 ? " photo" : " photos"),
                            "  tag " + std::to_string(tag) + ", ");
  }
  return text;
}

}  // namespace

bool is_diagnosis(const fs::path& file) {
  std::string line;
  std::ifstream stream(file);
  return std::getline(stream, line) && line == first_line;
}

std::string diagnosis_text(const Problem& refusal, const Job& job, const FoundSoFar& found) {
  std::string text = std::string(first_line) + "\n\n";
  text += report::wrapped(report::printable(refusal.what_happened()), "Why: ");
  if (!refusal.remedy().empty()) text += report::wrapped(report::printable(refusal.remedy()), "To do: ");
  text += "No pivot and no advice was written.\n";
  for (const std::string& note : found.notes) text += report::wrapped(report::printable(note), "  - ");
  if (found.network) text += "\n" + network_text(*found.network, job.unit);
  return text + needed_lines(job, found) + photo_lines(found);
}

void or_diagnose(const Job& job, const fs::path& folder, const std::function<void(FoundSoFar&)>& work) {
  const fs::path file = folder / diagnosis_name;
  FoundSoFar found;
  try {
    work(found);
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    make_result_folder(folder);
    write_and_keep_earlier({{file, diagnosis_text(problem, job, found)}});
    throw Problem(problem.kind(), problem.what_happened(),
                  problem.remedy() + (problem.remedy().empty() ? "" : " ") +
                      "What was found until then: " + file.string(),
                  problem.place());
  }
  std::error_code gone;
  if (is_diagnosis(file)) fs::remove(file, gone);
}

}  // namespace pivotfix
