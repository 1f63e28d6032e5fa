// SPDX-License-Identifier: Apache-2.0
// The template must be a job, and its tags must be those that the sheets carry.
#include <gtest/gtest.h>

#include "job/job.h"
#include "temporary_folder.h"

namespace pivotfix {
namespace {

TEST(NewJobText, IsAJobForEveryLayoutSideAndUnit) {
  for (const Layout layout : all_layouts())
    for (const Side side : {Side::left, Side::right})
      for (const LengthUnit unit : {LengthUnit::millimetre, LengthUnit::inch}) {
        const TemporaryFolder folder;
        const Job job = read_job(folder.write("job.toml", new_job_text({side, layout, unit, 40.0})));
        EXPECT_EQ(job.question.side, side);
        EXPECT_EQ(job.question.layout, layout);
        EXPECT_EQ(job.unit, unit);
        EXPECT_EQ(job.question.hardpoints.size(), hardpoint_names(layout).size());
        EXPECT_NEAR(job.tag_side_mm, 40.0, 0.01);  // as far as an inch with three decimals goes
        EXPECT_NEAR(job.driving.travel.bump_mm, 40.0, 0.01);
        EXPECT_EQ(job.scale_bars.size(), 2U);
      }
}

TEST(NewJobText, CarriesTheTagSideThatWasAskedFor) {
  const TemporaryFolder folder;
  NewJob wish;
  wish.tag_side_mm = 62.5;
  EXPECT_EQ(read_job(folder.write("job.toml", new_job_text(wish))).tag_side_mm, 62.5);
}

}  // namespace
}  // namespace pivotfix
