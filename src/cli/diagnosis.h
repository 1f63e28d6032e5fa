// SPDX-License-Identifier: Apache-2.0
// What a refused job leaves behind: not only why, but what was found until then.
#pragma once

#include <filesystem>
#include <functional>
#include <string>

#include "base/problem.h"
#include "cli/pipeline.h"
#include "job/job.h"

namespace pivotfix {

inline constexpr const char* diagnosis_name = "diagnosis.txt";

// Why, what to do, which photo shows which tags, which tags the job needs and how many photos show them, and
// how well photos and tags fit together if it came that far.
std::string diagnosis_text(const Problem& refusal, const Job& job, const FoundSoFar& found);

// Whether this file is one that a refused job left; another's of that name is not.
bool is_diagnosis(const std::filesystem::path& file);

// Does the work; when it refuses, diagnosis.txt appears in the folder and the refusal says so. When it does
// not, an earlier diagnosis is taken away.
void or_diagnose(const Job& job, const std::filesystem::path& folder,
                 const std::function<void(FoundSoFar&)>& work);

}  // namespace pivotfix
