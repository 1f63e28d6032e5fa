// SPDX-License-Identifier: Apache-2.0
// Which photos belong to which position of the pointer.
#include <gtest/gtest.h>

#include "ways_job.h"

namespace pivotfix {
namespace {

class GroupPhotos : public testing::Test {
 protected:
  GroupPhotos() {
    for (const char* name : {"photos/a.jpg", "photos/b.jpg", "photos/t1.jpg", "photos/t2.jpg",
                             "pointer/dent 1/a.jpg", "pointer/dent 1/b.jpg", "pointer/dent 2/c.jpg",
                             "pointer/dent 2/d.jpg", "pointer/ball 1/e.jpg", "pointer/ball 1/f.jpg"})
      folder_.write(name, "x");
  }
  GroupedPhotos grouped(const std::string& text) const {
    return group_photos(read_job(folder_.write("job.toml", text)));
  }
  std::string complaint(const std::string& text) const {
    try {
      grouped(text);
    } catch (const Problem& problem) {
      const std::string message = problem.what();
      return message.substr(message.find("job.toml"));
    }
    return "";
  }

  TemporaryFolder folder_{};
};

TEST_F(GroupPhotos, MakesEveryFolderAndEveryListAPositionOfThePointer) {
  const GroupedPhotos photos = grouped(ways_job);
  EXPECT_EQ(photos.question.dent_sets,
            (std::vector<std::string>{"ride/pointer/dent 1", "ride/pointer/dent 2"}));
  const auto touches = std::get<Touches>(photos.question.hardpoints[2].way);
  EXPECT_EQ(touches.sets,
            (std::vector<std::string>{"ride/pointer/ball 1", "ride/lower_ball_joint, touch 2"}));
  EXPECT_EQ(photos.groups.size(), 10U);
  const auto part = [&](const char* name) { return photos.groups.at(folder_.path() / name).part; };
  EXPECT_EQ(part("photos/a.jpg"), "");
  EXPECT_EQ(part("photos/t1.jpg"), "lower_ball_joint, touch 2");  // not that of photos/*.jpg
  EXPECT_EQ(part("pointer/dent 2/d.jpg"), "pointer/dent 2");
}

TEST_F(GroupPhotos, RefusesAPositionOfOnePhotoAndNamesItsLine) {
  folder_.write("pointer/dent 3/g.jpg", "x");
  EXPECT_EQ(complaint(ways_job),
            "job.toml:13:9: The pointer's position \"pointer/dent 3\" has one photo; two are the least. Add "
            "another from further round, with the stick held still, or take it out.");
}

TEST_F(GroupPhotos, RefusesAPhotoOfTwoPositions) {
  EXPECT_EQ(complaint(with("[\"pointer/ball*\", [\"photos/t1.jpg\", \"photos/t2.jpg\"]]",
                           "[\"pointer/ball*\", [\"pointer/ball 1/e.jpg\", \"photos/t2.jpg\"]]")),
            "job.toml:26:30: \"pointer/ball 1/e.jpg\" is named for two positions of the pointer. Each photo "
            "shows it in one place: name it once.");
}

}  // namespace
}  // namespace pivotfix
