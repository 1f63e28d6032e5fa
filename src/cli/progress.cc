// SPDX-License-Identifier: Apache-2.0
#include "cli/progress.h"

#include <unistd.h>

#include <iostream>

namespace pivotfix {

Progress::Progress() : on_terminal_(::isatty(STDERR_FILENO) == 1) {}

Progress::~Progress() {
  clear();
}

void Progress::show(const std::string& text) {
  if (!on_terminal_) return;
  std::string line = "\r" + text;
  if (text.size() < shown_) line += std::string(shown_ - text.size(), ' ');
  shown_ = text.size();
  std::cerr << line << std::flush;
}

void Progress::clear() {
  if (shown_ == 0) return;
  std::cerr << "\r" << std::string(shown_, ' ') << "\r" << std::flush;
  shown_ = 0;
}

}  // namespace pivotfix
