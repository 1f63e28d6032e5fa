// SPDX-License-Identifier: Apache-2.0
// Photos read on many cores must give what one core gives, in the same order, to the last bit.
#include "cli/pipeline.h"

#include <gtest/gtest.h>

#include <cstdlib>

#include "run_program.h"

namespace pivotfix {
namespace {

void expect_same(const Sighting& one, const Sighting& other) {
  EXPECT_EQ(one.tag_number, other.tag_number);
  EXPECT_EQ(one.centre_px, other.centre_px);
  EXPECT_EQ(one.corner_px, other.corner_px);
  EXPECT_EQ(one.edge_noise_px, other.edge_noise_px);
}

TEST(FindTagsInPhotos, GivesTheSameBitsInTheSameOrderOnAnyNumberOfThreads) {
  const Workshop workshop;
  ASSERT_EQ(workshop.run({"print", "-o", "sheet.pdf"}).exit_code, 0);
  for (const std::string page : {"1", "2", "3", "4", "5"}) {
    const std::string command = std::string(PDFTOPPM) + " -png -singlefile -r 90 -f " + page + " '" +
                                (workshop.folder() / "sheet.pdf").string() + "' '" +
                                (workshop.folder() / ("page" + page)).string() + "'";
    ASSERT_EQ(std::system(command.c_str()), 0);
  }
  Job job;
  job.file = workshop.folder() / "job.toml";
  job.photo_sets.push_back({"ride", false, {{"page*.png", {}}}});
  Progress progress;
  const FoundTags alone = find_tags_in_photos(job, {1, false}, progress);
  ASSERT_EQ(alone.photos.size(), 5U);
  EXPECT_EQ(alone.photos[0].photo, "page1.png");
  EXPECT_EQ(alone.photos[0].sightings.size(), 9U);
  EXPECT_EQ(alone.photos[4].sightings.size(), 4U);
  for (const int threads : {2, 5, 9}) {
    const FoundTags together = find_tags_in_photos(job, {threads, false}, progress);
    ASSERT_EQ(together.photos.size(), alone.photos.size());
    for (std::size_t i = 0; i < alone.photos.size(); ++i) {
      EXPECT_EQ(together.photos[i].photo, alone.photos[i].photo);
      ASSERT_EQ(together.photos[i].sightings.size(), alone.photos[i].sightings.size());
      for (std::size_t k = 0; k < alone.photos[i].sightings.size(); ++k)
        expect_same(together.photos[i].sightings[k], alone.photos[i].sightings[k]);
    }
  }
}

}  // namespace
}  // namespace pivotfix
