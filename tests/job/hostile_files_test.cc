// SPDX-License-Identifier: Apache-2.0
// Job files and folders from strangers: refused in a sentence, or right; never for ever, never out of memory.
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>

#include "job/text_file.h"
#include "job_complaints.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

std::string repeated(const std::string& part, int count) {
  std::string text;
  for (int i = 0; i < count; ++i) text += part;
  return text;
}

std::string complaint_about_reading(const fs::path& file) {
  try {
    text_of_file(file, "job file", "Check the path.");
  } catch (const Problem& problem) {
    return problem.what_happened();
  }
  return "";
}

TEST(HostileTexts, OfTenGigabytesAreRefusedUnread) {
  const TemporaryFolder folder;
  const fs::path file = folder.write("job.toml", "title = \"");
  fs::resize_file(file, 10'000'000'000);  // sparse: it takes no room on the disk
  EXPECT_EQ(complaint_about_reading(file), "The file is larger than 4 MB: it is no job file.");
}

TEST(HostileTexts, ThatArePipesOrDevicesAreRefusedInsteadOfWaitedFor) {
  const TemporaryFolder folder;
  const fs::path pipe = folder.path() / "job.toml";
  ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
  EXPECT_EQ(complaint_about_reading(pipe), "This is no ordinary file.");
  EXPECT_EQ(complaint_about_reading("/dev/zero"), "This is no ordinary file.");
}

TEST(HostileTexts, WithZeroBytesAreReadAsTheyAre) {
  const TemporaryFolder folder;
  const std::string content("a\0b\n", 4);
  EXPECT_EQ(text_of_file(folder.write("a.txt", content), "text", ""), content);
}

TEST(HostileJobs, NestedDeeplyInAnyWayAreRefused) {
  constexpr int deep = 400'000;
  EXPECT_NE(complaint_about("a = " + repeated("[", deep)), "");
  EXPECT_NE(complaint_about("a = " + repeated("{a = ", deep)), "");
  EXPECT_EQ(complaint_about("\na" + repeated(".a", deep) + " = 1"),
            "job.toml:2: A key has more than 32 parts. No key of this file has as many.");
  EXPECT_NE(complaint_about("[a" + repeated(" . 'a'", deep) + "]"), "");
  EXPECT_NE(complaint_about("[[a" + repeated(". \"a\"", deep) + "]]"), "");
}

// Found by fuzzing: the parser takes it for granted that a header begins with a key.
TEST(HostileJobs, WithAHeaderThatIsNoNameAreRefused) {
  for (const char* text :
       {"\n[= 1]", "\n[[= \"left\"", "\n [ .a]", "\n[\n", "\n[[\n]]", "\n[\xC3\xA4]", "\n[#]"})
    EXPECT_EQ(complaint_about(text),
              "job.toml:2: This is no name of a section. Write it like [axes] or [[photos]], or with quotes.")
        << text;
  for (const char* text : {"[", "[[", "[]", "[[]]", "a = [\n[\"x\"],\n[1]]\n[", "['axes']"})
    EXPECT_EQ(complaint_about(text).find("no name of a section"), std::string::npos) << text;
}

// Found by fuzzing: the parser's table of blanks has a hole between U+00A1 and U+0499.
TEST(HostileJobs, WithLettersBeyondAsciiOutsideQuotesAreRefused) {
  for (const char* text : {"\nt\xC3\xAFtle = 1", "\nside = \xCF\x85", "\n\xC2\xA0title = \"a\""})
    EXPECT_EQ(
        complaint_about(text),
        "job.toml:2: A letter outside quotes is not plain ASCII. Texts need quotes, and blanks plain spaces.")
        << text;
  for (const char* text :
       {"title = \"T\xC3\xBCr\"", "title = 'T\xC3\xBCr' # T\xC3\xBCr", "\xEF\xBB\xBFtitle = \"a\""})
    EXPECT_EQ(complaint_about(text).find("plain ASCII"), std::string::npos) << text;
}

TEST(HostileJobs, MayHaveManyDotsInTextsCommentsAndLists) {
  const std::string dots(100, '.');
  for (const std::string& text :
       {"title = \"" + dots + "\\\"" + dots + "\"", "title = '" + dots + "'",
        "title = \"\"\"" + dots + "\n\"" + dots + "\"\"\"", "title = '''" + dots + "\n'" + dots + "'''",
        "# it's " + dots, "floor = [" + repeated("1.5, ", 100) + "]"}) {
    EXPECT_EQ(complaint_about(text + "\n").find("parts"), std::string::npos) << text;
  }
}

// Numbers that no car has, wherever a number may stand: each is named with its line.
TEST(HostileJobs, WithAbsurdNumbersAreRefusedByName) {
  const std::string job = new_job_text({});
  for (const auto& [key, value, complaint] :
       std::vector<std::array<std::string, 3>>{{"length", "nan", "\"length\" is not a finite number"},
                                               {"length", "-inf", "\"length\" is not a finite number"},
                                               {"length", "1e300", "longer than a kilometre"},
                                               {"length", "\"1e308 in\"", "the number is not finite"},
                                               {"length", "\"1e999 mm\"", "is not a length"},
                                               {"length", "1e-300", "smaller than anybody can measure"}}) {
    const std::size_t at = job.find("\n" + key + " = ");
    ASSERT_NE(at, std::string::npos) << key;
    const std::size_t end = job.find('\n', at + 1);
    const std::string bad = job.substr(0, at + 1) + key + " = " + value + job.substr(end);
    EXPECT_NE(complaint_about(bad).find(complaint), std::string::npos) << complaint_about(bad);
  }
}

TEST(HostileJobs, WithAbsurdCountsAreRefused) {
  const std::string start = "side = \"left\"\nlayout = \"strut\"\n";
  EXPECT_NE(
      complaint_about(start + "[tags]\nsizes = [{ tags = [99999999999], side = 40 }]\n[[photos]]\nfiles = "
                              "[\"a\"]\n")
          .find("There is no tag 99999999999"),
      std::string::npos);
  EXPECT_NE(complaint_about(start + "[[photos]]\nhub_turn = 9223372036854775807\nfiles = [\"a\"]\n")
                .find("out of any range"),
            std::string::npos);
}

class HostileFolders : public testing::Test {
 protected:
  HostileFolders() {
    outside_.write("secret.jpg", "x");
    folder_.write("photos/a.jpg", "x");
  }

  std::string outcome(const std::string& pattern) const {
    Job job;
    job.file = folder_.path() / "job.toml";
    job.photo_sets.emplace_back().patterns.push_back({pattern, Place{"job.toml", 1, 10}});
    std::string names;
    try {
      for (const fs::path& file : photo_files(job)) names += file.filename().string() + " ";
    } catch (const Problem& problem) {
      return problem.what_happened();
    }
    return names;
  }

  TemporaryFolder outside_{}, folder_{};
};

TEST_F(HostileFolders, LinksOutOfTheJobsFolderAreRefused) {
  fs::create_symlink(outside_.path() / "secret.jpg", folder_.path() / "photos" / "b.jpg");
  fs::create_directory_symlink(outside_.path(), folder_.path() / "away");
  for (const char* pattern : {"photos/*.jpg", "photos", "photos/b.jpg", "away", "away/*", "*/secret.jpg"})
    EXPECT_NE(outcome(pattern).find("is a link that leaves the job's folder."), std::string::npos)
        << pattern << ": " << outcome(pattern);
}

TEST_F(HostileFolders, LinksWithinTheFolderAndWholePathsAreTaken) {
  fs::create_symlink(folder_.path() / "photos" / "a.jpg", folder_.path() / "photos" / "b.jpg");
  EXPECT_EQ(outcome("photos/*.jpg"), "a.jpg b.jpg ");
  EXPECT_EQ(outcome((outside_.path() / "*.jpg").string()), "secret.jpg ");
}

TEST_F(HostileFolders, LinksInACircleEndTheSearch) {
  fs::create_directory_symlink(folder_.path(), folder_.path() / "photos" / "again");
  fs::create_symlink("c.jpg", folder_.path() / "photos" / "c.jpg");
  EXPECT_EQ(outcome("**/a.jpg"), "a.jpg ");
  for (const char* pattern : {"photos/*.jpg", "photos/c.jpg"})
    EXPECT_NE(outcome(pattern).find("is a link that leaves the job's folder."), std::string::npos)
        << pattern << ": " << outcome(pattern);
}

TEST_F(HostileFolders, NamesWithQuotesSpacesUmlautsAndMarkupAreNames) {
  for (const char* name : {"it's \"mine\".jpg", "Tür vorn links.jpg", "<b>$(reboot).jpg", "-rf.jpg"})
    folder_.write(std::string("odd ones/") + name, "x");
  EXPECT_EQ(outcome("odd ones"), "-rf.jpg <b>$(reboot).jpg Tür vorn links.jpg it's \"mine\".jpg ");
}

}  // namespace
}  // namespace pivotfix
