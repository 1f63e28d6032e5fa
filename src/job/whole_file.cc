// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <cstring>
#include <memory>

#include "job/job.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const fs::path& file, const std::string& doing) {
  throw Problem(ProblemKind::input, "Cannot " + doing + ": " + std::strerror(errno) + ".",
                "Nothing was changed.", Place{file.string()});
}

// A temporary file next to its target; gone again unless it took the target's place.
class Draft {
 public:
  explicit Draft(fs::path target)
      : target_(std::move(target)),
        draft_(target_.parent_path() / ("." + target_.filename().string() + "." + std::to_string(::getpid()) +
                                        "." + std::to_string(next_number++) + ".part")) {}
  Draft(const Draft&) = delete;
  Draft& operator=(const Draft&) = delete;
  ~Draft() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (exists_) ::unlink(draft_.c_str());
  }

  void write(const std::string& content) {
    if (fs::is_directory(target_)) {
      errno = EISDIR;
      fail(target_, "write the file");
    }
    descriptor_ = ::open(draft_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (descriptor_ < 0) fail(target_, "write the file");
    exists_ = true;
    std::size_t done = 0;
    while (done < content.size()) {
      const ssize_t written = ::write(descriptor_, content.data() + done, content.size() - done);
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) fail(target_, "write the file");
      done += static_cast<std::size_t>(written);
    }
    if (::fsync(descriptor_) != 0) fail(target_, "write the file");
    const int closed = ::close(descriptor_);
    descriptor_ = -1;
    if (closed != 0) fail(target_, "write the file");
  }

  void take_place() {
    if (::rename(draft_.c_str(), target_.c_str()) != 0) fail(target_, "put the file in its place");
    exists_ = false;
    sync_folder();
  }

 private:
  // Makes the new name itself durable; not every file system can, and the content is safe already.
  void sync_folder() const {
    const fs::path folder = target_.has_parent_path() ? target_.parent_path() : fs::path(".");
    const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0) return;
    ::fsync(descriptor);
    ::close(descriptor);
  }

  static inline std::atomic<unsigned> next_number{0};  // two threads may write the same file

  fs::path target_;
  fs::path draft_;
  int descriptor_ = -1;
  bool exists_ = false;
};

}  // namespace

void write_whole_files(const std::vector<FileToWrite>& files) {
  std::vector<std::unique_ptr<Draft>> drafts;
  for (const FileToWrite& one : files) {
    drafts.push_back(std::make_unique<Draft>(one.file));
    drafts.back()->write(one.content);
  }
  for (const auto& draft : drafts) draft->take_place();
}

void write_whole_file(const std::filesystem::path& file, const std::string& content) {
  write_whole_files({{file, content}});
}

}  // namespace pivotfix
