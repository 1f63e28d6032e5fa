// SPDX-License-Identifier: Apache-2.0
// Photos read on many cores must give what one core gives, in the same order, to the last bit.
#include "cli/pipeline.h"

#include <gtest/gtest.h>

#include <cstdlib>

#include "run_program.h"
#include "tags/same_sighting.h"

namespace pivotfix {
namespace {

PhotoSightings photo_with(const std::vector<int>& tags) {
  PhotoSightings photo;
  for (const int tag : tags) photo.sightings.emplace_back().tag_number = tag;
  return photo;
}

// Three floor tags make a plane, and one strip a scale: more of them may stay unread.
TEST(CheckTagsSeen, RefusesForWhatCannotBeDoneWithoutOnly) {
  Job job;
  job.question.axes.floor_tags = {0, 1, 2, 3};
  for (const int tag : job.question.axes.floor_tags)
    job.tag_uses.push_back({tag, TagRole::floor, "a floor tag", {}});
  job.scale_bars = {{40, 41, 250.0}, {42, 43, 250.0}};
  for (const int tag : {40, 41, 42, 43})
    job.tag_uses.push_back({tag, TagRole::scale_strip, "a scale strip", {}});
  job.tag_uses.push_back({11, TagRole::other, "lower_ball_joint", {}});
  EXPECT_NO_THROW(check_tags_seen(job, {photo_with({0, 1, 2, 40, 41, 11})}));
  EXPECT_THROW(check_tags_seen(job, {photo_with({0, 1, 40, 41, 11})}), Problem);
  EXPECT_THROW(check_tags_seen(job, {photo_with({0, 1, 2, 40, 42, 11})}), Problem);
  EXPECT_THROW(check_tags_seen(job, {photo_with({0, 1, 2, 40, 41})}), Problem);
}

// Two tags make a line, and one pair of like points tells the centre plane.
TEST(CheckTagsSeen, LetsTagsOfTheForwardLineAndPairsOfLikePointsStayUnread) {
  Job line;
  line.question.axes.forward_from = 6;
  line.question.axes.forward_to = 7;
  line.question.axes.forward_between = {8, 9};
  for (const int tag : {6, 8, 9, 7})
    line.tag_uses.push_back({tag, TagRole::forward_line, "the forward line", {}});
  EXPECT_NO_THROW(check_tags_seen(line, {photo_with({6, 9, 7})}));
  EXPECT_NO_THROW(check_tags_seen(line, {photo_with({8, 9})}));
  EXPECT_THROW(check_tags_seen(line, {photo_with({6})}), Problem);
  Job pairs;
  pairs.question.axes.like_points = {{50, 51}, {52, 53}};
  for (const int tag : {50, 51, 52, 53})
    pairs.tag_uses.push_back({tag, TagRole::like_point, "a like point", {}});
  EXPECT_NO_THROW(check_tags_seen(pairs, {photo_with({50, 51, 52})}));
  EXPECT_THROW(check_tags_seen(pairs, {photo_with({50, 53})}), Problem);
}

// A part named with these tags, one of which marks a joint as well; and a pointer with tags on two faces.
Job job_of_parts() {
  Job job;
  job.question.bodies = {{"knuckle", {40, 41, 42, 43}}, {"pointer", {70, 71, 72, 73, 74, 75}}};
  for (const Body& body : job.question.bodies)
    for (const int tag : body.tags)
      job.tag_uses.push_back({tag, TagRole::moving_part, "the " + body.name, {}});
  job.tag_uses.push_back({41, TagRole::other, "lower_ball_joint", {}});
  return job;
}

// From outside a corner only one face of the pointer is seen.
TEST(CheckTagsSeen, LetsTagsOfAPartAndOfThePointerStayUnreadAndSaysSo) {
  const Job job = job_of_parts();
  const std::vector<PhotoSightings> photos{photo_with({40, 41, 42}), photo_with({70, 71, 72})};
  EXPECT_NO_THROW(check_tags_seen(job, photos));
  EXPECT_EQ(
      notes_on_unseen_tags(job, photos),
      (std::vector<std::string>{"Tag 43 of the knuckle is in no photo and does not count.",
                                "Tags 73, 74 and 75 of the pointer are in no photo and do not count."}));
  EXPECT_NO_THROW(check_tags_seen(job, {photo_with({41, 42, 74, 75})}));
  EXPECT_TRUE(notes_on_unseen_tags(job, {photo_with({40, 41, 42, 43, 70, 71, 72, 73, 74, 75})}).empty());
}

TEST(CheckTagsSeen, RefusesWhereAPartKeepsTooFewTagsOrOneMarksAJoint) {
  const Job job = job_of_parts();
  EXPECT_THROW(check_tags_seen(job, {photo_with({41, 70, 71, 72})}), Problem);
  EXPECT_THROW(check_tags_seen(job, {photo_with({40, 42, 43, 70, 71, 72})}), Problem);
  const std::vector<PhotoSightings> one_of_pointer{photo_with({40, 41, 42, 43, 70})};
  EXPECT_TRUE(notes_on_unseen_tags(job, one_of_pointer).empty());
  try {
    check_tags_seen(job, one_of_pointer);
    ADD_FAILURE() << "not refused";
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.what_happened(), "Tag 71 (the pointer) is in no photo, nor are 72, 73, 74, 75.");
  }
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
