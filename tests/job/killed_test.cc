// SPDX-License-Identifier: Apache-2.0
// Writers that are killed at any moment, and writers at the same time: every file is whole, old or new.
// PIVOTFIX_KILLS=5000 makes it as many rounds.
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <random>
#include <set>

#include "base/kills.h"
#include "base/temporary_folder.h"
#include "job/whole_file.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

// 100 to 200 kB, every line alike, so that a mixture or a part shows.
std::string version(int number) {
  std::string text;
  for (int i = 0; i < 5000 + 1000 * (number % 5); ++i)
    text += "version " + std::to_string(number) + " line\n";
  return text + "end\n";
}

bool is_whole(const std::string& text) {
  const std::string line = text.substr(0, text.find('\n') + 1);
  std::size_t at = 0;
  while (text.compare(at, line.size(), line) == 0) at += line.size();
  return line.starts_with("version ") && text.substr(at) == "end\n";
}

// Starts a process that does the work and then ends without what a process does at its end.
template <typename Work>
pid_t start(Work work) {
  const pid_t child = ::fork();
  if (child == 0) {
    work();
    ::_exit(0);
  }
  return child;
}

class Killed : public testing::Test {
 protected:
  std::vector<FileToWrite> files(int number) const {
    std::vector<FileToWrite> list;
    for (const char* name : {"a.json", "b.csv", "c.html"})
      list.push_back({folder_.path() / name, version(number)});
    return list;
  }

  // Of everything but drafts; these are removed, to keep the folder small.
  void expect_all_whole(bool also_remove_kept) const {
    std::set<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder_.path())) {
      const std::string name = entry.path().filename().string();
      if (name.starts_with('.')) {
        fs::remove(entry.path());
        continue;
      }
      names.insert(name);
      EXPECT_TRUE(is_whole(content_of(entry.path()))) << name;
      if (also_remove_kept && name.find('.') != name.rfind('.')) fs::remove(entry.path());
    }
    for (const char* name : {"a.json", "b.csv", "c.html"}) EXPECT_TRUE(names.contains(name)) << name;
  }

  TemporaryFolder folder_{};
};

TEST_F(Killed, AtAnyMomentAWriterLeavesWholeFiles) {
  std::mt19937 random(1);
  std::uniform_int_distribution<int> microseconds(0, 8000);
  write_whole_files(files(0));
  int killed = 0;
  for (int round = 0; round < rounds_wished(300); ++round) {
    const pid_t child = start([&] {
      for (int number = 1;; ++number)
        if (round % 2)
          write_whole_files(files(number));
        else
          write_and_keep_earlier(files(number));
    });
    ::usleep(static_cast<useconds_t>(microseconds(random)));
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    killed += WIFSIGNALED(status);
    expect_all_whole(true);
    if (HasFailure()) break;
  }
  EXPECT_GT(killed, 0);
  // The next run works.
  write_whole_files(files(7));
  EXPECT_EQ(content_of(folder_.path() / "a.json"), version(7));
}

TEST_F(Killed, OrNotTwoWritersInOneFolderLeaveWholeFiles) {
  write_whole_files(files(0));
  constexpr int each = 15;
  const auto work = [&](int first) {
    return start([&, first] {
      for (int i = 0; i < each; ++i) write_and_keep_earlier(files(first + i));
    });
  };
  for (const pid_t child : {work(100), work(200)}) {
    int status = 0;
    ::waitpid(child, &status, 0);
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  }
  expect_all_whole(false);
}

}  // namespace
}  // namespace pivotfix
