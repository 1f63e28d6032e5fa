// SPDX-License-Identifier: Apache-2.0
// The one exception type: what went wrong, where, and what to do about it.
//
// Thrown when the program must stop or refuse: unreadable files, unusable input, evidence too thin for
// an answer. What concerns a single photo or sighting is never thrown; it is data in the result.
#pragma once

#include <exception>
#include <string>

namespace pivotfix {

// The number is the program's exit code.
enum class ProblemKind {
  internal = 1,  // a defect of the program
  usage = 2,     // wrong options or arguments
  input = 3,     // a file is missing, unreadable or wrong
  refused = 4,   // the input is readable but does not carry an answer that can be trusted
};

struct Place {
  std::string file{};
  int line = 0;    // 1-based; 0: no line
  int column = 0;  // 1-based; 0: no column
};

class Problem : public std::exception {
 public:
  // `what_happened` and `remedy` are whole sentences for the user, without the place.
  Problem(ProblemKind kind, std::string what_happened, std::string remedy, Place place = {});

  ProblemKind kind() const { return kind_; }
  const std::string& what_happened() const { return what_happened_; }
  const std::string& remedy() const { return remedy_; }
  const Place& place() const { return place_; }

  // "job.toml:12:3: What happened. What to do."
  const char* what() const noexcept override { return message_.c_str(); }

 private:
  ProblemKind kind_;
  std::string what_happened_;
  std::string remedy_;
  Place place_;
  std::string message_;
};

}  // namespace pivotfix
