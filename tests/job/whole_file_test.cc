// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "job/job.h"
#include "temporary_folder.h"

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

}  // namespace
}  // namespace pivotfix
