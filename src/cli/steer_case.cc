// SPDX-License-Identifier: Apache-2.0
#include "cli/steer_case.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>

#include "advice/recorded_height.h"
#include "cli/command.h"
#include "cli/diagnosis.h"
#include "cli/hardpoint_reading.h"
#include "cli/job_record.h"
#include "job/job.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

bool is_newer(const fs::path& one, const fs::path& other) {
  std::error_code error;
  const auto written = fs::last_write_time(one, error);
  if (error) return false;
  const auto other_written = fs::last_write_time(other, error);
  return !error && written > other_written;
}

// What tells that the pivots are not those of the job as it is now. A finished job takes the diagnosis of an
// earlier one away, so that one newer than the pivots is of a job that was refused since.
std::vector<std::string> notes_on_age(const Job& job, const Record& record, const fs::path& hardpoints) {
  std::vector<std::string> notes;
  const fs::path diagnosis = hardpoints.parent_path() / diagnosis_name;
  if (is_newer(diagnosis, hardpoints) && is_diagnosis(diagnosis))
    notes.push_back("The last run or locate was refused (" + diagnosis.string() +
                    "): these pivots are older.");
  const bool found_by_job = record.method == method_photos && !record.files.empty();
  if (found_by_job && record.files.front().checksum != job.checksum)
    notes.push_back(
        "The job file was changed since the pivots were found: spacers, wheel and travel count as now "
        "written; tags, stand-offs, axes and photos only after this: pivotfix locate " +
        shell_word(job.file.string()));
  return notes;
}

// The job file may have been edited since `locate`: wheel, spacers and travel count as they are now.
SteerCase case_of_job(const std::string& file) {
  const Job job = read_job(file);
  const fs::path hardpoints = job.file.parent_path() / "hardpoints.json";
  const std::string remedy = "Run this first: pivotfix locate " + shell_word(file) +
                             ". Or, where \"run\" or \"locate\" wrote to a folder of its own (-o), name the "
                             "file there: pivotfix steer FOLDER/hardpoints.json";
  SteerCase steer;
  steer.unit = job.unit;
  steer.question.rod_end = job.rod_end;
  steer.question.driving = job.driving;
  HardpointSet& set = steer.question.hardpoints;
  set = hardpoints_from_json(hardpoint_text(hardpoints.string(), remedy), hardpoints.string());
  if (set.side != job.question.side || set.layout != job.question.layout)
    throw Problem(ProblemKind::input, "The file is of another side or layout than the job.",
                  "Run this again: pivotfix locate " + shell_word(file), Place{hardpoints.string()});
  refuse_blanks_beside_pivots(job);
  steer.notes = notes_on_age(job, set.record, hardpoints);
  set.title = job.title;
  const WheelSetting found = set.wheel;
  set.wheel = found.camber_from_photos
                  ? with_camber_of_photos(job.wheel, {found.camber_rad, found.camber_sigma_rad})
                  : job.wheel;
  set.rack_axis_vehicle = job.rack_axis_vehicle;
  std::erase_if(set.readings,
                [&](const ToeReading& reading) { return !reading.from_photos || !job.readings_from_photos; });
  set.readings.insert(set.readings.begin(), job.readings.begin(), job.readings.end());
  return steer;
}

SteerCase case_of_hardpoints(const std::string& file) {
  SteerCase steer;
  if (ending_of(file) == ".csv")
    steer.notes.push_back(
        file +
        " is a spreadsheet: it carries neither camber nor how the uncertainties hang together. Where "
        "\"run\" or \"locate\" wrote it, ask the hardpoints.json beside it, which carries both.");
  AdviceQuestion& question = steer.question;
  question.hardpoints = read_hardpoints(file);
  question.rod_end = with_spacers_on_car(question.hardpoints.rod_end.value_or(RodEnd{}));
  question.driving = question.hardpoints.driving.value_or(Driving{});
  return steer;
}

double travel_mm(const std::string& option, const std::string& text, LengthUnit unit) {
  const double length_mm = length_option_mm(option, text, unit);
  if (!(std::abs(length_mm) <= longest_travel_mm))
    throw Problem(ProblemKind::usage, option + ": \"" + text + "\" is more than any wheel travels.", "");
  return length_mm;
}

// Of bump or droop, which has no sign.
double way_mm(const std::string& option, const std::string& text, LengthUnit unit) {
  const double length_mm = travel_mm(option, text, unit);
  if (!(length_mm >= 0.0))
    throw Problem(ProblemKind::usage, option + ": the length must not be negative.", "");
  return length_mm;
}

std::vector<std::string> parts_of(const std::string& text) {
  std::vector<std::string> parts;
  for (std::size_t start = 0; start <= text.size();) {
    const std::size_t end = std::min(text.find(':', start), text.size());
    parts.push_back(text.substr(start, end - start));
    start = end + 1;
  }
  return parts;
}

// "0.060 in" or "0.060 in:2".
Spacer spacer_option(const std::string& text, LengthUnit unit) {
  const std::size_t colon = text.rfind(':');
  const std::string thickness = text.substr(0, colon);
  Spacer spacer{positive_option_mm("--spacer", thickness, unit), 1, length_as_written(thickness, unit)};
  if (colon == std::string::npos) return spacer;
  const char* end = text.data() + text.size();
  const auto parsed = std::from_chars(text.data() + colon + 1, end, spacer.count);
  if (parsed.ec != std::errc{} || parsed.ptr != end || spacer.count < 1 || spacer.count > 50)
    throw Problem(ProblemKind::usage, "--spacer: \"" + text + "\" has no count from 1 to 50 after the colon.",
                  "Write it like --spacer \"0.060 in:2\".");
  return spacer;
}

std::vector<Spacer> spacers_on_car(const std::string& option, const std::vector<std::string>& texts,
                                   LengthUnit unit) {
  std::vector<Spacer> spacers;
  for (const std::string& text : texts)
    if (text != "none")
      spacers.push_back({positive_option_mm(option, text, unit), 1, length_as_written(text, unit)});
  return spacers;
}

// "-50 mm:2".
TravelWeight weight_option(const std::string& text, LengthUnit unit) {
  const std::vector<std::string> parts = parts_of(text);
  TravelWeight point;
  bool good = parts.size() == 2;
  if (good) {
    const char* end = parts[1].data() + parts[1].size();
    const auto parsed = std::from_chars(parts[1].data(), end, point.weight);
    good = parsed.ec == std::errc{} && parsed.ptr == end && point.weight >= 0.0 && point.weight <= 1000.0;
  }
  if (!good)
    throw Problem(ProblemKind::usage, "--weight: \"" + text + "\" is no travel with a weight from 0 to 1000.",
                  "Write it like --weight \"-50 mm:2\".");
  point.travel_mm = travel_mm("--weight", parts[0], unit);
  return point;
}

// "1 in:-0.20 deg:0.03 deg".
ToeReading reading_option(const std::string& text, LengthUnit unit) {
  const std::vector<std::string> parts = parts_of(text);
  if (parts.size() != 3)
    throw Problem(ProblemKind::usage, "--reading: \"" + text + "\" is not travel, toe and uncertainty.",
                  "Write it like --reading \"1 in:-0.20 deg:0.03 deg\".");
  ToeReading reading;
  reading.travel_mm = travel_mm("--reading", parts[0], unit);
  reading.toe_rad = angle_option_rad("--reading", parts[1]);
  reading.sigma_rad = angle_option_rad("--reading", parts[2]);
  if (!(reading.sigma_rad > 0.0))
    throw Problem(ProblemKind::usage, "--reading: the uncertainty of toe must be more than zero.", "");
  return reading;
}

void apply_rod_end_options(const SteerOptions& options, LengthUnit unit, RodEnd& rod_end) {
  if (!options.spacers.empty()) rod_end.stock.clear();
  for (const std::string& text : options.spacers) rod_end.stock.push_back(spacer_option(text, unit));
  if (!options.between.empty()) rod_end.between_now = spacers_on_car("--between", options.between, unit);
  if (!options.other_side.empty())
    rod_end.other_side_now = spacers_on_car("--other-side", options.other_side, unit);
  if (!options.stack_total.empty())
    rod_end.stack_total_mm = positive_option_mm("--stack-total", options.stack_total, unit);
  if (!options.mounted.empty())
    rod_end.mount = from_option("--mounted", [&] { return rod_end_mount_from_name(options.mounted); });
  rod_end = with_spacers_on_car(rod_end);
}

void apply_driving_options(const SteerOptions& options, LengthUnit unit, Driving& driving) {
  if (!options.driving.empty())
    driving = from_option("--driving", [&] { return driving_named(options.driving); });
  if (!options.bump.empty()) driving.travel.bump_mm = way_mm("--bump", options.bump, unit);
  if (!options.droop.empty()) driving.travel.droop_mm = way_mm("--droop", options.droop, unit);
  const bool typed = !options.bump.empty() || !options.droop.empty();
  if (typed && !is_enough(driving.travel))
    throw Problem(ProblemKind::usage, "--bump and --droop: together they must be at least 1 mm.", "");
  if (!options.aim.empty())
    driving.aim = from_option("--aim", [&] { return height_aim_from_name(options.aim); });
  if (!options.weights.empty()) driving.weights.clear();
  for (const std::string& text : options.weights) driving.weights.push_back(weight_option(text, unit));
  std::stable_sort(driving.weights.begin(), driving.weights.end(),
                   [](const TravelWeight& a, const TravelWeight& b) { return a.travel_mm < b.travel_mm; });
  for (std::size_t i = 1; i < driving.weights.size(); ++i)
    if (!(driving.weights[i].travel_mm > driving.weights[i - 1].travel_mm))
      throw Problem(ProblemKind::usage, "--weight: one travel has two weights.", "Give it once.");
}

}  // namespace

SteerCase case_of_file(const std::string& file) {
  SteerCase steer = is_job_name(file) ? case_of_job(file) : case_of_hardpoints(file);
  AtRecordedHeight at_height = at_recorded_height(steer.question.hardpoints);
  steer.question.hardpoints = std::move(at_height.hardpoints);
  steer.question.readings = steer.question.hardpoints.readings;
  steer.ride_height_words = std::move(at_height.words);
  return steer;
}

SteerCase case_from(const SteerOptions& options) {
  SteerCase steer = case_of_file(options.file);
  if (!options.units.empty()) steer.unit = unit_option(options.units);
  apply_driving_options(options, steer.unit, steer.question.driving);
  apply_rod_end_options(options, steer.unit, steer.question.rod_end);
  if (!options.readings.empty()) steer.question.readings.clear();
  for (const std::string& text : options.readings)
    steer.question.readings.push_back(reading_option(text, steer.unit));
  return steer;
}

}  // namespace pivotfix
