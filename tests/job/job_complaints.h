// SPDX-License-Identifier: Apache-2.0
// Reading a job from text, and what the reader complains about.
#pragma once

#include <gtest/gtest.h>

#include <string>

#include "base/problem.h"
#include "base/temporary_folder.h"
#include "job/job.h"

namespace pivotfix {

inline Job job_from(const std::string& text) {
  const TemporaryFolder folder;
  return read_job(folder.write("job.toml", text));
}

// The complaint without the temporary folder in front; empty when there is none.
inline std::string complaint_about(const std::string& text) {
  try {
    job_from(text);
  } catch (const Problem& problem) {
    EXPECT_EQ(problem.kind(), ProblemKind::input);
    const std::string message = problem.what();
    return message.substr(message.find("job.toml"));
  }
  return "";
}

// The text with `old_part`, which must be there once, replaced.
inline std::string replaced_once(std::string text, const std::string& old_part, const std::string& new_part) {
  const std::size_t at = text.find(old_part);
  EXPECT_NE(at, std::string::npos) << old_part;
  EXPECT_EQ(text.find(old_part, at + 1), std::string::npos) << old_part << " is there twice";
  return text.replace(at, old_part.size(), new_part);
}

// What is wrong in a job, and what is said of it.
struct BadJob {
  const char* name;
  const char* old_part;
  const char* new_part;
  const char* complaint;
};
inline void PrintTo(const BadJob& bad_job, std::ostream* out) {  // for the runner's messages
  *out << bad_job.new_part;
}

}  // namespace pivotfix
