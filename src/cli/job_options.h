// SPDX-License-Identifier: Apache-2.0
// What `locate` and `run` share: a job, where results go, how photos are read.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <string>

#include "cli/pipeline.h"
#include "job/job.h"

namespace pivotfix {

struct JobOptions {
  std::string job{};
  std::string folder{};  // empty: the job's own
  PipelineOptions pipeline{};
};

void add_job_options(CLI::App& command, JobOptions& options);
// All of them but where results go.
void add_photo_options(CLI::App& command, JobOptions& options);

// Throws Problem(input) when the folder does not exist.
std::filesystem::path result_folder(const JobOptions& options);

// hardpoints.json and hardpoints.csv, in that order.
std::vector<FileToWrite> hardpoint_files(const HardpointSet& set, const std::filesystem::path& folder);

// To stderr, where they do not disturb what a pipe reads.
void print_notes(const std::vector<std::string>& notes);

}  // namespace pivotfix
