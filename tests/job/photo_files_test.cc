// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>

#include "base/temporary_folder.h"
#include "job/job.h"

namespace pivotfix {
namespace {

class PhotoFiles : public testing::Test {
 protected:
  PhotoFiles() {
    for (const char* name : {"photos/b.jpg", "photos/a.JPG", "photos/c1.png", "photos/notes.txt",
                             "photos/.hidden.jpg", "photos/deeper/d.jpg", "more/b.jpg"})
      folder_.write(name, "x");
  }

  // Relative to the job's folder, for comparison.
  std::vector<std::string> names(const std::vector<std::string>& patterns) const {
    Job job;
    job.file = folder_.path() / "job.toml";
    PhotoSet set;
    for (std::size_t i = 0; i < patterns.size(); ++i)
      set.patterns.push_back({patterns[i], Place{"job.toml", static_cast<int>(i) + 1, 10}});
    job.photo_sets.push_back(set);
    std::vector<std::string> found;
    for (const auto& file : photo_files(job))
      found.push_back(file.lexically_relative(folder_.path()).string());
    return found;
  }

  std::string complaint(const std::vector<std::string>& patterns) const {
    try {
      names(patterns);
    } catch (const Problem& problem) {
      return problem.what();
    }
    return "";
  }

  TemporaryFolder folder_{};
};

using Names = std::vector<std::string>;

TEST_F(PhotoFiles, StarsMatchAnyLettersInEitherCaseButNoHiddenFiles) {
  EXPECT_EQ(names({"photos/*.jpg"}), (Names{"photos/a.JPG", "photos/b.jpg"}));
}

TEST_F(PhotoFiles, QuestionMarksMatchOneLetter) {
  EXPECT_EQ(names({"photos/?.jpg"}), (Names{"photos/a.JPG", "photos/b.jpg"}));
  EXPECT_EQ(names({"photos/c?.png"}), (Names{"photos/c1.png"}));
}

TEST_F(PhotoFiles, StarsWorkForFoldersToo) {
  EXPECT_EQ(names({"*/b.jpg"}), (Names{"more/b.jpg", "photos/b.jpg"}));
}

TEST_F(PhotoFiles, TwoStarsAreTheFolderAndAllBelowIt) {
  folder_.write("photos/deeper/still/e.HEIC", "x");
  EXPECT_EQ(names({"photos/**/*.jpg"}), (Names{"photos/a.JPG", "photos/b.jpg", "photos/deeper/d.jpg"}));
  EXPECT_EQ(names({"photos/deeper/**"}), (Names{"photos/deeper/d.jpg", "photos/deeper/still/e.HEIC"}));
}

TEST_F(PhotoFiles, AFolderStandsForThePhotosInIt) {
  EXPECT_EQ(names({"photos"}), (Names{"photos/a.JPG", "photos/b.jpg", "photos/c1.png"}));
  EXPECT_EQ(names({"photos/"}), names({"photos"}));
}

TEST_F(PhotoFiles, ComeSortedAndOnceHoweverTheyAreNamed) {
  EXPECT_EQ(names({"photos/c1.png", "photos/*.jpg", "./photos/b.jpg", "photos/../photos/a.JPG"}),
            (Names{"photos/a.JPG", "photos/b.jpg", "photos/c1.png"}));
}

TEST_F(PhotoFiles, TakesAbsoluteNamesAsWritten) {
  EXPECT_EQ(names({(folder_.path() / "more" / "*.jpg").string()}), (Names{"more/b.jpg"}));
}

TEST_F(PhotoFiles, NamesTheLineOfAPatternWithoutMatch) {
  EXPECT_EQ(complaint({"photos/*.jpg", "photos/*.heic"}),
            "job.toml:2:10: No photo matches \"photos/*.heic\". The name is relative to the folder of the "
            "job file; photos are JPEG, HEIC or PNG.");
  EXPECT_EQ(
      complaint({"photos/B.JPG"}),
      "job.toml:1:10: There is no \"photos/B.JPG\". Put the photos into a folder of that name beside the job "
      "file (capital letters count), or write where they are.");
}

TEST_F(PhotoFiles, TellsAnEmptyFolderFromOneWithoutPhotos) {
  std::filesystem::create_directory(folder_.path() / "later");
  EXPECT_EQ(complaint({"later"}),
            "job.toml:1:10: The folder \"later\" is empty. Copy the photos there: JPEG, HEIC or PNG.");
  folder_.write("later/notes.txt", "none yet");
  EXPECT_EQ(complaint({"later"}),
            "job.toml:1:10: In \"later\" is no photo. Copy the photos there: JPEG, HEIC or PNG.");
}

// The order of a folder's files is the file system's.
TEST_F(PhotoFiles, NamedByFolderOrOneByOneComeSortedAndOnce) {
  Names expected;
  for (const char* name : {"k7.jpg", "k1.jpg", "k9.jpg", "k4.jpg", "k0.jpg", "k8.jpg", "k3.jpg"})
    expected.push_back(folder_.write(std::string("board/") + name, "x").string());
  const std::string one = expected[3];
  std::sort(expected.begin(), expected.end());
  const auto named = [](const Names& names) {
    Names found;
    for (const auto& file : photos_named(names)) found.push_back(file.string());
    return found;
  };
  const std::string board = (folder_.path() / "board").string();
  EXPECT_EQ(named({board}), expected);
  EXPECT_EQ(named({one, board, board + "/../board/k0.jpg"}), expected);
}

TEST_F(PhotoFiles, RefusesToLeaveTheJobsFolder) {
  EXPECT_EQ(
      complaint({"photos/../../*.jpg"}),
      "job.toml:1:10: \"photos/../../*.jpg\" leaves the job's folder. Move the photos into the folder, or "
      "write the whole path from /.");
}

}  // namespace
}  // namespace pivotfix
