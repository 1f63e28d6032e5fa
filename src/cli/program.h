// SPDX-License-Identifier: Apache-2.0
// The program with all its commands, for main() and for what describes it.
#pragma once

#include <CLI/CLI.hpp>
#include <memory>

namespace pivotfix {

std::unique_ptr<CLI::App> make_program();

}  // namespace pivotfix
