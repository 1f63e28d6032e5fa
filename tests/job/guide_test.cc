// SPDX-License-Identifier: Apache-2.0
// The job files of docs/guide-under-the-car.md are read as they stand there; its drawings are there.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "base/temporary_folder.h"
#include "job/job.h"
#include "sheets/tag_plan.h"

namespace pivotfix {
namespace {

const std::string docs = std::string(PIVOTFIX_SOURCE_DIR) + "/docs/";

std::vector<std::string> toml_blocks() {
  std::istringstream text(content_of(docs + "guide-under-the-car.md"));
  std::vector<std::string> blocks;
  bool inside = false;
  for (std::string line; std::getline(text, line);) {
    if (line == "```toml") {
      blocks.emplace_back();
      inside = true;
    } else if (line == "```") {
      inside = false;
    } else if (inside) {
      blocks.back() += line + "\n";
    }
  }
  return blocks;
}

TEST(Guide, HasJobFilesThatAreRead) {
  const TemporaryFolder folder;
  std::vector<Layout> layouts;
  for (const std::string& block : toml_blocks()) {
    const auto file = folder.write("job.toml", block);
    const Job job = read_job(file);
    layouts.push_back(job.question.layout);
    EXPECT_GE(job.photo_sets.size(), 5u);
    EXPECT_GE(job.question.bodies.size(), 4u);
  }
  EXPECT_EQ(layouts, (std::vector{Layout::strut, Layout::double_wishbone}));
}

TEST(Guide, ShowsDrawingsThatAreThere) {
  const std::string text = content_of(docs + "guide-under-the-car.md");
  int drawings = 0;
  for (std::size_t at = text.find("](drawings/"); at != std::string::npos;
       at = text.find("](drawings/", at + 1)) {
    const std::size_t from = at + 2;
    const std::string name = text.substr(from, text.find(')', from) - from);
    EXPECT_TRUE(std::filesystem::exists(docs + name)) << name;
    ++drawings;
  }
  EXPECT_GE(drawings, 4);
}

// A number in a drawing is the one that the sheets carry and the job file names.
TEST(Guide, DrawsTheTagsOfTheSheets) {
  using namespace tag_plan;
  const auto from_to = [](const auto& tags) {
    return ": " + std::to_string(tags.front()) + " to " + std::to_string(tags.back());
  };
  const std::vector<std::string> of_both{
      "floor tags" + from_to(std::vector{floor_tags.front(), forward.back()}).substr(1),
      "strips " + std::to_string(first_strip[0]) + "-" + std::to_string(first_strip[1]),
      "body" + from_to(spare),
      "hub or disc" + from_to(on_hub),
      "knuckle" + from_to(on_knuckle),
      "link" + from_to(on_link),
      "lower arm" + from_to(on_lower_arm)};
  for (const std::string name : {"strut", "double-wishbone"}) {
    const std::string drawing = content_of(docs + "drawings/" + name + "-corner.svg");
    for (const std::string& words : of_both)
      EXPECT_NE(drawing.find(words), std::string::npos) << name << words;
  }
  EXPECT_NE(
      content_of(docs + "drawings/strut-corner.svg").find("strut tube: " + std::to_string(on_strut_tube[0])),
      std::string::npos);
  EXPECT_NE(
      content_of(docs + "drawings/double-wishbone-corner.svg").find("upper arm" + from_to(on_upper_arm)),
      std::string::npos);
}

}  // namespace
}  // namespace pivotfix
