// SPDX-License-Identifier: Apache-2.0
// Which photos belong together: those between which nothing moved.
#include <algorithm>

#include "job/job.h"
#include "job/photo_patterns.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t least_photos_of_position = 2;

void put(const std::vector<fs::path>& files, const PhotoGroup& group, GroupedPhotos& grouped) {
  for (const fs::path& file : files) grouped.groups.emplace(file.lexically_normal(), group);
}

// "pointer/dent 1" as seen from the job's folder.
std::string name_of_folder(const fs::path& folder, const Job& job) {
  const fs::path plain = folder.lexically_normal().lexically_relative(folder_of(job).lexically_normal());
  std::string name = (plain.empty() ? folder : plain).generic_string();
  if (name.ends_with('/')) name.pop_back();
  return name;
}

class PointerPositions {
 public:
  PointerPositions(const Job& job, GroupedPhotos& grouped) : job_(job), grouped_(grouped) {}

  void add(const PointerPhotos& photos) {
    const fs::path job_folder = folder_of(job_);
    if (photos.patterns.size() == 1)
      if (const auto folders = folders_for(photos.patterns.front(), job_folder); !folders.empty()) {
        for (const fs::path& folder : folders)
          add_position(photos, name_of_folder(folder, job_),
                       photos_in(folder, photos.patterns.front(), job_folder));
        return;
      }
    std::vector<fs::path> files;
    for (const PhotoPattern& pattern : photos.patterns)
      for (const fs::path& file : files_for(pattern, job_folder)) files.push_back(file.lexically_normal());
    std::sort(files.begin(), files.end());
    files.erase(std::unique(files.begin(), files.end()), files.end());
    const std::string number = std::to_string(sets_of(photos).size() + 1);
    add_position(photos, photos.hardpoint.empty() ? "dent " + number : photos.hardpoint + ", touch " + number,
                 files);
  }

 private:
  std::vector<std::string>& sets_of(const PointerPhotos& photos) {
    if (photos.hardpoint.empty()) return grouped_.question.dent_sets;
    for (HardpointRecipe& recipe : grouped_.question.hardpoints)
      if (recipe.name == photos.hardpoint)
        if (auto* touches = std::get_if<Touches>(&recipe.way)) return touches->sets;
    throw Problem(ProblemKind::internal, "No hardpoint " + photos.hardpoint + " is touched.", "");
  }

  void add_position(const PointerPhotos& photos, const std::string& name,
                    const std::vector<fs::path>& files) {
    if (files.size() < least_photos_of_position)
      throw Problem(ProblemKind::refused,
                    "The pointer's position \"" + name + "\" has " +
                        (files.empty() ? "no photo" : "one photo") + "; two are the least.",
                    "Add another from further round, with the stick held still, or take it out.",
                    photos.patterns.front().place);
    const std::string& height = job_.question.reference_height;
    for (const fs::path& file : files)
      if (grouped_.groups.contains(file.lexically_normal()))
        throw Problem(ProblemKind::input,
                      "\"" + name_of_folder(file, job_) + "\" is named for two positions of the pointer.",
                      "Each photo shows it in one place: name it once.", photos.patterns.front().place);
    put(files, {height, name}, grouped_);
    sets_of(photos).push_back(height + "/" + name);
  }

  const Job& job_;
  GroupedPhotos& grouped_;
};

}  // namespace

GroupedPhotos group_photos(const Job& job) {
  GroupedPhotos grouped;
  grouped.question = job.question;
  PointerPositions positions(job, grouped);
  for (const PointerPhotos& photos : job.pointer_photos) positions.add(photos);
  if (job.wheel_on_photos)
    for (const PhotoPattern& pattern : job.wheel_on_photos->patterns)
      put(files_for(pattern, folder_of(job)), {wheel_on_height, {}}, grouped);
  for (const PhotoSet& set : job.photo_sets)
    for (const PhotoPattern& pattern : set.patterns)
      put(files_for(pattern, folder_of(job)), {set.height, set.part}, grouped);
  return grouped;
}

}  // namespace pivotfix
