// SPDX-License-Identifier: Apache-2.0
#include "job/whole_file.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <chrono>

#include "base/problem.h"
#include "base/temporary_folder.h"

namespace pivotfix {
namespace {

int entries_in(const std::filesystem::path& folder) {
  int count = 0;
  for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder)) ++count;
  return count;
}

TEST(WriteWholeFile, WritesAndReplacesAndLeavesNothingElse) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "a.txt";
  write_whole_file(file, "one");
  EXPECT_EQ(content_of(file), "one");
  const std::string with_zero("two\0three", 9);
  write_whole_file(file, with_zero);
  EXPECT_EQ(content_of(file), with_zero);
  EXPECT_EQ(entries_in(folder.path()), 1);
}

TEST(WriteWholeFile, SaysWhichFileCannotBeWritten) {
  const TemporaryFolder folder;
  const std::string file = (folder.path() / "missing" / "a.txt").string();
  try {
    write_whole_file(file, "one");
    FAIL();
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::input);
    EXPECT_EQ(problem.what(),
              file + ": Cannot write the file: No such file or directory. Nothing was changed.");
  }
}

TEST(WriteWholeFiles, LeavesTheOldOnesWhenOneCannotBeWritten) {
  const TemporaryFolder folder;
  const auto first = folder.write("a.txt", "old");
  std::filesystem::create_directory(folder.path() / "b.txt");
  EXPECT_THROW(write_whole_files({{first, "new"}, {folder.path() / "b.txt", "new"}}), Problem);
  EXPECT_EQ(content_of(first), "old");
  EXPECT_EQ(entries_in(folder.path()), 2);
}

TEST(WriteAndKeepEarlier, NumbersWhatWasThereAndSaysSo) {
  const TemporaryFolder folder;
  const auto file = folder.path() / "report.html";
  EXPECT_TRUE(write_and_keep_earlier({{file, "one"}}).empty());
  EXPECT_TRUE(write_and_keep_earlier({{file, "one"}}).empty());
  EXPECT_EQ(entries_in(folder.path()), 1);
  const auto kept = write_and_keep_earlier({{file, "two"}, {folder.path() / "other", "x"}});
  ASSERT_EQ(kept.size(), 1u);
  EXPECT_EQ(kept[0].file, file);
  EXPECT_EQ(kept[0].kept_as, folder.path() / "report.1.html");
  EXPECT_EQ(write_and_keep_earlier({{file, "three"}}).at(0).kept_as, folder.path() / "report.2.html");
  EXPECT_EQ(content_of(file), "three");
  EXPECT_EQ(content_of(folder.path() / "report.1.html"), "one");
  EXPECT_EQ(content_of(folder.path() / "report.2.html"), "two");
}

// Killed after keeping and before replacing: the next run keeps nothing twice.
TEST(WriteAndKeepEarlier, KeepsNothingTwice) {
  const TemporaryFolder folder;
  const auto file = folder.write("report.html", "old");
  folder.write("report.1.html", "old");
  EXPECT_TRUE(write_and_keep_earlier({{file, "new"}}).empty());
  EXPECT_EQ(content_of(file), "new");
  EXPECT_EQ(entries_in(folder.path()), 2);
}

TEST(WriteWholeFile, NeverWritesThroughALinkThatStandsInItsWay) {
  const TemporaryFolder folder;
  const auto victim = folder.write("victim.txt", "precious");
  const std::string guessed = ".a.txt." + std::to_string(::getpid()) + "-0.part";
  std::filesystem::create_symlink(victim, folder.path() / guessed);
  std::filesystem::create_symlink(victim, folder.path() / "a.txt");
  write_whole_file(folder.path() / "a.txt", "new");
  EXPECT_EQ(content_of(victim), "precious");
  EXPECT_EQ(content_of(folder.path() / "a.txt"), "new");
  EXPECT_FALSE(std::filesystem::is_symlink(folder.path() / "a.txt"));
}

TEST(WriteWholeFile, RemovesWhatAKilledRunLeftLongAgoButNotWhatAnotherRunIsWriting) {
  const TemporaryFolder folder;
  const auto old = folder.write(".a.txt.99-0.part", "half"), young = folder.write(".a.txt.98-0.part", "half");
  const auto other = folder.write(".b.txt.99-0.part", "half");
  const auto hour_ago = std::filesystem::file_time_type::clock::now() - std::chrono::hours(1);
  std::filesystem::last_write_time(old, hour_ago);
  std::filesystem::last_write_time(other, hour_ago);
  write_whole_file(folder.path() / "a.txt", "new");
  EXPECT_FALSE(std::filesystem::exists(old));
  EXPECT_TRUE(std::filesystem::exists(young));
  EXPECT_TRUE(std::filesystem::exists(other));
}

}  // namespace
}  // namespace pivotfix
