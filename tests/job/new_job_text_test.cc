// SPDX-License-Identifier: Apache-2.0
// The template must be a job, and its tags must be those that the sheets carry.
#include <gtest/gtest.h>

#include <set>

#include "base/temporary_folder.h"
#include "job/job.h"
#include "sheets/sheets.h"

namespace pivotfix {
namespace {

TEST(NewJobText, IsAJobForEveryLayoutSideAndUnit) {
  for (const Layout layout : all_layouts())
    for (const Side side : {Side::left, Side::right})
      for (const LengthUnit unit : {LengthUnit::millimetre, LengthUnit::inch}) {
        const TemporaryFolder folder;
        const Job job = read_job(folder.write("job.toml", new_job_text({side, layout, unit})));
        EXPECT_EQ(job.question.side, side);
        EXPECT_EQ(job.question.layout, layout);
        EXPECT_EQ(job.unit, unit);
        EXPECT_EQ(job.question.hardpoints.size(), hardpoint_names(layout).size());
        EXPECT_NEAR(job.tag_side_mm, 40.0, 0.01);  // as far as an inch with three decimals goes
        EXPECT_NEAR(job.driving.travel.bump_mm, 40.0, 0.01);
        EXPECT_EQ(job.scale_bars.size(), 2U);
      }
}

TEST(NewJobText, IsAJobForPhotosAtHeightsWithTagsFromItsOwnSheets) {
  std::set<int> printed;
  for (const SheetTag& tag : heights_sheets(Paper::a4).tags) printed.insert(tag.number);
  for (const SheetStrip& strip : heights_sheets(Paper::a4).strips)
    printed.insert({strip.first_tag, strip.second_tag});
  for (const Layout layout : all_layouts()) {
    const TemporaryFolder folder;
    NewJob wish;
    wish.layout = layout;
    wish.heights = true;
    const Job job = read_job(folder.write("job.toml", new_job_text(wish)));
    EXPECT_EQ(job.question.heights.size(), 7U);
    EXPECT_EQ(job.question.steered_heights.size(), 2U);
    EXPECT_GE(job.question.bodies.size(), 4U);
    EXPECT_TRUE(job.readings_from_photos);
    for (const TagUse& use : job.tag_uses)
      EXPECT_TRUE(printed.contains(use.tag)) << name_of(layout) << " " << use.tag;
  }
}

TEST(NewJobText, CarriesTheTagSideThatWasAskedFor) {
  const TemporaryFolder folder;
  NewJob wish;
  for (const auto& [typed, side_mm] :
       {std::pair{"62.5 mm", 62.5}, {"36.7512 mm", 36.7512}, {"5 mm", 5.0}, {"1.5\"", 38.1}}) {
    wish.tag_side = typed;
    EXPECT_DOUBLE_EQ(read_job(folder.write("job.toml", new_job_text(wish))).tag_side_mm, side_mm) << typed;
  }
}

}  // namespace
}  // namespace pivotfix
