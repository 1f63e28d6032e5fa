// SPDX-License-Identifier: Apache-2.0
// Thumbnails that were kept beside the job are used, and nobody can tell.
#include "cli/thumbnails.h"

#include <gtest/gtest.h>

#include <cstdlib>

#include "cli/kept_beside_job.h"
#include "run_program.h"

namespace pivotfix {
namespace {

class Thumbnails : public testing::Test {
 protected:
  Thumbnails() {
    EXPECT_EQ(workshop_.run({"print", "-o", "sheet.pdf"}).exit_code, 0);
    for (const std::string page : {"1", "2"}) {
      const std::string command = std::string(PDFTOPPM) + " -png -singlefile -r 90 -f " + page + " '" +
                                  (workshop_.folder() / "sheet.pdf").string() + "' '" +
                                  (workshop_.folder() / ("page" + page)).string() + "'";
      EXPECT_EQ(std::system(command.c_str()), 0);
    }
    job_.file = workshop_.folder() / "job.toml";
    job_.photo_sets.push_back({"ride", false, {{"page*.png", {}}}});
    keeping_.keep_found_tags = true;
    made_ = jpegs({});
  }

  std::map<std::string, std::string> jpegs(const PipelineOptions& options) const {
    std::map<std::string, std::string> result;
    for (const auto& [name, thumbnail] : thumbnails_of(job_, options)) result[name] = thumbnail.jpeg;
    return result;
  }
  PhotoFile photo(const std::string& name) const { return read_photo_file(workshop_.folder() / name, name); }

  Workshop workshop_{};
  Job job_{};
  PipelineOptions keeping_{};
  std::map<std::string, std::string> made_{};
};

TEST_F(Thumbnails, AreKeptByTheSearchForTagsAndComeBackTheSame) {
  ASSERT_EQ(made_.size(), 2U);
  EXPECT_FALSE(workshop_.has(".pivotfix-cache"));
  Progress progress;
  find_tags_in_photos(job_, keeping_, progress);
  const KeptBesideJob kept = *kept_beside(job_, keeping_);
  for (const auto& [name, jpeg] : made_) {
    const std::optional<Thumbnail> found = kept.thumbnails.find(photo(name), thumbnail_options(2));
    ASSERT_TRUE(found) << name;
    EXPECT_EQ(found->jpeg, jpeg) << name;
  }
  EXPECT_EQ(jpegs(keeping_), made_);
}

// One that is not the photo's shows that it is used: the photo itself is not decoded.
TEST_F(Thumbnails, AreTakenFromWhatWasKeptUnlessToldNotTo) {
  jpegs(keeping_);
  const ThumbnailCache cache = kept_beside(job_, keeping_)->thumbnails;
  const Thumbnail other = *cache.find(photo("page2.png"), thumbnail_options(2));
  cache.keep(photo("page1.png"), thumbnail_options(2), other);
  EXPECT_EQ(jpegs(keeping_)["page1.png"], other.jpeg);
  EXPECT_EQ(jpegs({}), made_);
}

TEST_F(Thumbnails, ThatAreDamagedAreMadeAnew) {
  jpegs(keeping_);
  const std::filesystem::path file = kept_beside(job_, keeping_)->thumbnails.file_of(photo("page1.png"));
  const std::string name = ".pivotfix-cache/" + file.filename().string();
  const std::string whole = workshop_.read(name);
  workshop_.write(name, whole.substr(0, whole.size() - 9));
  EXPECT_EQ(jpegs(keeping_), made_);
  EXPECT_EQ(workshop_.read(name), whole);
}

TEST(ThumbnailOptions, ManyPhotosStayBelowWhatAReportMayWeighAndOneMoreSeldomChangesTheirSize) {
  int changes = 0;
  for (std::size_t photos = 1; photos <= 400; ++photos) {
    const ThumbnailOptions options = thumbnail_options(photos);
    EXPECT_LE(static_cast<double>(options.most_bytes * photos), 3.0e6);
    changes += options.longest_px != thumbnail_options(photos + 1).longest_px ? 1 : 0;
  }
  EXPECT_EQ(thumbnail_options(40).longest_px, 640);
  EXPECT_LE(changes, 11);
}

}  // namespace
}  // namespace pivotfix
