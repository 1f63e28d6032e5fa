// SPDX-License-Identifier: Apache-2.0
// One line on the terminal that says how far long work has come; silent when stderr is no terminal.
#pragma once

#include <cstddef>
#include <string>

namespace pivotfix {

class Progress {
 public:
  Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();

  void show(const std::string& text);
  void clear();

 private:
  bool on_terminal_;
  std::size_t shown_ = 0;
};

}  // namespace pivotfix
