// SPDX-License-Identifier: Apache-2.0
// What describes the program's commands, made from the commands themselves: docs/reference.md, the man page
// and the shell's completion.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace pivotfix {

std::string reference_markdown(const CLI::App& program);

// Page 1 in the language of man(7).
std::string man_page(const CLI::App& program);

// For bash: commands, their options, then file names.
std::string bash_completion(const CLI::App& program);

}  // namespace pivotfix
