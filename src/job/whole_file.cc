// SPDX-License-Identifier: Apache-2.0
#include "job/whole_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <fstream>
#include <iterator>
#include <memory>
#include <optional>
#include <set>

#include "base/problem.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const fs::path& file, const std::string& doing, const std::string& remedy) {
  throw Problem(ProblemKind::input, "Cannot " + doing + ": " + std::strerror(errno) + ".", remedy,
                Place{file.string()});
}
[[noreturn]] void fail_to_write(const fs::path& file) {
  fail(file, "write the file", "Nothing was changed.");
}
// Some of several files may have their new content by then; each is whole.
[[noreturn]] void fail_to_replace(const fs::path& file) {
  fail(file, "put the file in its place", "Make that possible and run the same again.");
}

fs::path folder_of_file(const fs::path& file) {
  return file.has_parent_path() ? file.parent_path() : fs::path(".");
}

// A temporary file next to its target; gone again unless it took the target's place.
class Draft {
 public:
  explicit Draft(fs::path target) : target_(std::move(target)) {}
  Draft(const Draft&) = delete;
  Draft& operator=(const Draft&) = delete;
  ~Draft() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (exists_) ::unlink(draft_.c_str());
  }

  void write(const std::string& content) {
    std::error_code error;  // what cannot be looked at cannot be written either
    if (fs::is_directory(target_, error)) {
      errno = EISDIR;
      fail_to_write(target_);
    }
    remove_left_over();
    open();
    std::size_t done = 0;
    while (done < content.size()) {
      const ssize_t written = ::write(descriptor_, content.data() + done, content.size() - done);
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) fail_to_write(target_);
      done += static_cast<std::size_t>(written);
    }
  }

  void make_durable() {
    if (::fsync(descriptor_) != 0) fail_to_write(target_);
    const int closed = ::close(descriptor_);
    descriptor_ = -1;
    if (closed != 0) fail_to_write(target_);
  }

  void take_place() {
    if (::rename(draft_.c_str(), target_.c_str()) != 0) fail_to_replace(target_);
    exists_ = false;
  }

 private:
  std::string stem() const { return "." + target_.filename().string() + "."; }

  // Never through a name that is there already: it may be a link that a stranger laid.
  void open() {
    constexpr int most_tries = 1000;
    for (int i = 0; i < most_tries && descriptor_ < 0; ++i) {
      draft_ =
          folder_of_file(target_) / (stem() + std::to_string(::getpid()) + "-" + std::to_string(i) + ".part");
      descriptor_ = ::open(draft_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666);
      if (descriptor_ < 0 && errno != EEXIST) break;
    }
    if (descriptor_ < 0) fail_to_write(target_);
    exists_ = true;
  }

  // Of runs that were killed. Writing takes seconds at most, so what is older belongs to nobody.
  void remove_left_over() const {
    constexpr std::chrono::minutes old{10};
    std::error_code error;
    const fs::file_time_type now = fs::file_time_type::clock::now();
    for (fs::directory_iterator entry(folder_of_file(target_), error), end; !error && entry != end;
         entry.increment(error)) {
      const std::string name = entry->path().filename().string();
      if (!name.starts_with(stem()) || !name.ends_with(".part")) continue;
      std::error_code gone;
      const auto written = entry->last_write_time(gone);
      if (!gone && now - written > old) fs::remove(entry->path(), gone);
    }
  }

  fs::path target_;
  fs::path draft_{};
  int descriptor_ = -1;
  bool exists_ = false;
};

using Drafts = std::vector<std::unique_ptr<Draft>>;

// All are written before the first is waited for: a disk takes them together.
Drafts drafts_of(const std::vector<FileToWrite>& files) {
  Drafts drafts;
  for (const FileToWrite& one : files) {
    drafts.push_back(std::make_unique<Draft>(one.file));
    drafts.back()->write(one.content);
  }
  for (const auto& draft : drafts) draft->make_durable();
  return drafts;
}

// Makes the new names themselves durable; not every file system can, and the contents are safe already.
void make_names_durable(const std::vector<FileToWrite>& files) {
  std::set<fs::path> folders;
  for (const FileToWrite& one : files) folders.insert(folder_of_file(one.file));
  for (const fs::path& folder : folders) {
    const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0) continue;
    ::fsync(descriptor);
    ::close(descriptor);
  }
}

std::string content_of(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

fs::path numbered(const fs::path& file, int number) {
  return folder_of_file(file) /
         (file.stem().string() + "." + std::to_string(number) + file.extension().string());
}

// Where the file system knows no second names for a file, a copy does.
bool give_second_name(const fs::path& file, const fs::path& name) {
  if (::link(file.c_str(), name.c_str()) == 0) return true;
  if (errno == EEXIST) return false;
  Draft copy(name);
  copy.write(content_of(file));
  copy.make_durable();
  copy.take_place();
  return true;
}

// Empty when it is kept already, by a run that was killed just then.
std::optional<fs::path> keep(const fs::path& file, const std::string& content) {
  constexpr int most_kept = 100'000;
  const auto is_taken = [&](int number) {
    std::error_code error;
    return fs::exists(fs::symlink_status(numbered(file, number), error));
  };
  int number = 1;
  while (number < most_kept && is_taken(number)) ++number;
  if (number > 1 && content_of(numbered(file, number - 1)) == content) return std::nullopt;
  while (number < most_kept && !give_second_name(file, numbered(file, number))) ++number;
  return numbered(file, number);
}

}  // namespace

void write_whole_files(const std::vector<FileToWrite>& files) {
  for (const auto& draft : drafts_of(files)) draft->take_place();
  make_names_durable(files);
}

void write_whole_file(const std::filesystem::path& file, const std::string& content) {
  write_whole_files({{file, content}});
}

std::vector<KeptFile> write_and_keep_earlier(const std::vector<FileToWrite>& files) {
  const Drafts drafts = drafts_of(files);
  std::vector<KeptFile> kept;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const fs::path& file = files[i].file;
    std::error_code error;
    if (fs::is_regular_file(file, error))
      if (const std::string earlier = content_of(file); earlier != files[i].content)
        if (const auto name = keep(file, earlier)) kept.push_back({file, *name});
    drafts[i]->take_place();
  }
  make_names_durable(files);
  return kept;
}

}  // namespace pivotfix
