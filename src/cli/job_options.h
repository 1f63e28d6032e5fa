// SPDX-License-Identifier: Apache-2.0
// What `locate` and `run` share: a job, where results go, how photos are read.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <string>

#include "cli/pipeline.h"
#include "job/job.h"
#include "job/whole_file.h"

namespace pivotfix {

struct JobOptions {
  std::string job{};
  std::string folder{};  // empty: the job's own
  bool force = false;    // earlier results are not kept
  PipelineOptions pipeline{};
};

void add_job_options(CLI::App& command, JobOptions& options);
// All of them but where results go.
void add_photo_options(CLI::App& command, JobOptions& options);

// Throws Problem(input) when a file stands in the folder's place, or when that cannot be told. Ask before
// long work; the folder is made by write_results.
std::filesystem::path result_folder(const JobOptions& options);

void make_result_folder(const std::filesystem::path& folder);

// Makes the folder when it is missing and writes results; earlier ones that differ are kept under a number,
// and the returned lines say so.
std::string write_results(const std::filesystem::path& folder, const std::vector<FileToWrite>& files,
                          const JobOptions& options);

// The command for later questions: about the job where its pivots lie beside it, else about their file.
std::string later_command(const JobOptions& options, const Job& job, const std::filesystem::path& hardpoints);

// hardpoints.json and hardpoints.csv, in that order.
std::vector<FileToWrite> hardpoint_files(const HardpointSet& set, const std::filesystem::path& folder);

// To stderr, where they do not disturb what a pipe reads.
void print_notes(const std::vector<std::string>& notes, LengthUnit unit);

}  // namespace pivotfix
