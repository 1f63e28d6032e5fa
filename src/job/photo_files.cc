// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "job/job.h"
#include "job/photo_patterns.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

// `*` is any letters, `?` any one letter; upper and lower case count as the same, as cameras mix .jpg and
// .JPG.
bool matches(std::string_view name, std::string_view pattern) {
  std::size_t n = 0;
  std::size_t p = 0;
  std::size_t star = std::string_view::npos;
  std::size_t after_star = 0;
  while (n < name.size()) {
    if (p < pattern.size() && pattern[p] == '*') {
      star = p++;
      after_star = n;
    } else if (p < pattern.size() && (pattern[p] == '?' || lower(pattern[p]) == lower(name[n]))) {
      ++p;
      ++n;
    } else if (star != std::string_view::npos) {
      p = star + 1;
      n = ++after_star;
    } else {
      return false;
    }
  }
  return pattern.find_first_not_of('*', p) == std::string_view::npos;
}

bool has_wildcard(const std::string& part) {
  return part.find_first_of("*?") != std::string::npos;
}

bool is_photo_name(const fs::path& file) {
  const std::string name = file.filename().string();
  if (name.starts_with('.')) return false;
  return matches(name, "*.jpg") || matches(name, "*.jpeg") || matches(name, "*.png") ||
         matches(name, "*.heic") || matches(name, "*.heif");
}

// Links that lead round in a circle are no folders, and no reason to end the program.
bool is_folder(const fs::path& path) {
  std::error_code error;
  return fs::is_directory(path, error);
}
bool is_link(const fs::path& path) {
  std::error_code error;
  return fs::is_symlink(path, error);
}
bool is_there(const fs::path& path) {
  std::error_code error;
  return fs::exists(fs::symlink_status(path, error));
}

std::vector<fs::path> entries_of(const fs::path& folder) {
  std::vector<fs::path> entries;
  std::error_code error;
  for (fs::directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error))
    entries.push_back(entry->path());
  return entries;
}

// Folders at any depth; hidden ones and links, which may go round in circles, are left out.
void add_folders_below(const fs::path& folder, std::vector<fs::path>& found) {
  for (const fs::path& entry : entries_of(folder)) {
    if (entry.filename().string().starts_with('.') || is_link(entry) || !is_folder(entry)) continue;
    found.push_back(entry);
    add_folders_below(entry, found);
  }
}

std::vector<fs::path> expanded(const std::vector<fs::path>& folders, const std::string& part) {
  std::vector<fs::path> found;
  for (const fs::path& folder : folders) {
    if (part == "**") {
      found.push_back(folder);
      add_folders_below(folder, found);
      continue;
    }
    if (!has_wildcard(part)) {
      if (is_there(folder / part)) found.push_back(folder / part);
      continue;
    }
    for (const fs::path& entry : entries_of(folder)) {
      const std::string name = entry.filename().string();
      if (name.starts_with('.') && !part.starts_with('.')) continue;
      if (matches(name, part)) found.push_back(entry);
    }
  }
  return found;
}

std::vector<fs::path> files_of(const fs::path& found, bool by_wildcard) {
  if (!is_folder(found)) return {found};
  if (by_wildcard) return {};  // "photos/*" means the photos there, not what is in folders below
  return photos_in(found);
}

// A relative name does not climb out of the job's folder.
void check_stays_inside(const PhotoPattern& wish) {
  const fs::path named = wish.text;
  if (named.is_absolute()) return;
  const fs::path normal = named.lexically_normal();
  if (!normal.empty() && *normal.begin() == "..")
    throw Problem(ProblemKind::input, "\"" + wish.text + "\" leaves the job's folder.",
                  "Move the photos into the folder, or write the whole path from /.", wish.place);
}

// The same for links in it, which a stranger's folder may bring along.
void check_links_stay_inside(const std::vector<fs::path>& found, const PhotoPattern& wish,
                             const fs::path& job_folder) {
  if (fs::path(wish.text).is_absolute()) return;
  std::error_code error;
  const fs::path home = fs::canonical(job_folder, error);
  for (const fs::path& one : found) {
    const fs::path inside = fs::weakly_canonical(one, error).lexically_relative(home);
    if (error || inside.empty() || *inside.begin() == "..")
      throw Problem(ProblemKind::input, "\"" + one.string() + "\" is a link that leaves the job's folder.",
                    "Copy the photos into the folder, or write the whole path from /.", wish.place);
  }
}

// What a pattern matches, files and folders.
struct Matches {
  std::vector<fs::path> found{};
  bool by_wildcard = false;
};

Matches matches_of(const PhotoPattern& wish, const fs::path& job_folder) {
  const fs::path pattern = fs::path(wish.text).lexically_normal();
  check_stays_inside(wish);
  Matches matches{{pattern.is_absolute() ? pattern.root_path() : job_folder}};
  for (const fs::path& part : pattern.relative_path()) {
    if (part.empty() || part == ".") continue;  // a slash at the end
    matches.found = expanded(matches.found, part.string());
    matches.by_wildcard = part != "**" && has_wildcard(part.string());
  }
  return matches;
}

[[noreturn]] void fail_without_match(const PhotoPattern& wish, const std::vector<fs::path>& found) {
  const std::string quoted = "\"" + wish.text + "\"";
  const std::string kinds = "JPEG, HEIC or PNG";
  if (has_wildcard(wish.text))
    throw Problem(ProblemKind::input, "No photo matches " + quoted + ".",
                  "The name is relative to the folder of the job file; photos are " + kinds + ".",
                  wish.place);
  if (found.empty())
    throw Problem(ProblemKind::input, "There is no " + quoted + ".",
                  "Put the photos into a folder of that name beside the job file (capital letters count), or "
                  "write where they are.",
                  wish.place);
  const bool empty = entries_of(found.front()).empty();
  throw Problem(ProblemKind::input,
                empty ? "The folder " + quoted + " is empty." : "In " + quoted + " is no photo.",
                "Copy the photos there: " + kinds + ".", wish.place);
}

}  // namespace

fs::path folder_of(const Job& job) {
  return job.file.has_parent_path() ? job.file.parent_path() : fs::path(".");
}

std::vector<fs::path> photos_in(const fs::path& folder) {
  std::vector<fs::path> files;
  for (const fs::path& entry : entries_of(folder))
    if (is_photo_name(entry) && !is_folder(entry)) files.push_back(entry);
  std::sort(files.begin(), files.end());  // each file system lists them in another order
  return files;
}

std::vector<fs::path> photos_in(const fs::path& folder, const PhotoPattern& wish,
                                const fs::path& job_folder) {
  std::vector<fs::path> files = photos_in(folder);
  check_links_stay_inside(files, wish, job_folder);
  return files;
}

std::vector<fs::path> folders_for(const PhotoPattern& wish, const fs::path& job_folder) {
  std::vector<fs::path> folders;
  for (const fs::path& one : matches_of(wish, job_folder).found)
    if (is_folder(one)) folders.push_back(one);
  check_links_stay_inside(folders, wish, job_folder);
  std::sort(folders.begin(), folders.end());
  return folders;
}

std::vector<fs::path> files_for(const PhotoPattern& wish, const fs::path& job_folder) {
  const Matches matches = matches_of(wish, job_folder);
  std::vector<fs::path> files;
  for (const fs::path& one : matches.found)
    for (const fs::path& file : files_of(one, matches.by_wildcard)) files.push_back(file);
  if (files.empty()) fail_without_match(wish, matches.found);
  check_links_stay_inside(files, wish, job_folder);
  return files;
}

std::vector<std::filesystem::path> photo_files(const Job& job) {
  std::vector<fs::path> files;
  for (const auto& [file, group] : group_photos(job).groups) files.push_back(file);
  std::sort(files.begin(), files.end(),
            [](const fs::path& a, const fs::path& b) { return a.generic_string() < b.generic_string(); });
  return files;
}

std::vector<std::filesystem::path> photos_named(const std::vector<std::string>& names) {
  std::vector<fs::path> files;
  for (const std::string& name : names) {
    if (!is_there(name))
      throw Problem(ProblemKind::input, "There is no such photo or folder.", "Check the path.", Place{name});
    const auto found = files_of(fs::path(name).lexically_normal(), false);
    if (found.empty())
      throw Problem(ProblemKind::input, "This folder has no photos (jpg, png or heic).", "Check the path.",
                    Place{name});
    files.insert(files.end(), found.begin(), found.end());
  }
  std::sort(files.begin(), files.end());
  files.erase(std::unique(files.begin(), files.end()), files.end());
  return files;
}

}  // namespace pivotfix
