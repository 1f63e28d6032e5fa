// SPDX-License-Identifier: Apache-2.0
#include "faults/degraded_jobs.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>

#include "advice/advice.h"
#include "base/problem.h"
#include "base/units.h"
#include "network/simulated_corner.h"

namespace pivotfix::degraded {
namespace {

using simulation::CornerOfTags;
using simulation::Photographed;
using simulation::Vector3d;

constexpr double stand_off_sigma_mm = 0.2;
constexpr double half_track_sigma_mm = 2.0;

// A job on its way to be spoilt. Tags 0, 1, 2 and the last two lie on the floor, 3 and 4 run ahead.
struct Job {
  std::mt19937 random;
  simulation::Wishes wishes{};
  CornerOfTags corner = simulation::made_up_corner();
  NetworkInput input{};
  HardpointSet truth{};

  explicit Job(unsigned number) : random(number) { wishes.seed = number; }

  double even(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random); }
  double normal() { return std::normal_distribution<double>()(random); }
  int whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(random); }
  bool chance(double probability) { return even(0.0, 1.0) < probability; }
  int tags() const { return static_cast<int>(corner.truth.world_from_tag.size()); }
  int any_tag() { return whole(0, tags() - 1); }
  Vector3d any_direction() {
    const double z = normal(), y = normal(), x = normal();
    return Vector3d(x, y, z).normalized();
  }
  // In any direction, by even(low_mm, high_mm).
  Vector3d any_move_mm(double low_mm, double high_mm) {
    const Vector3d direction = any_direction();
    return even(low_mm, high_mm) * direction;
  }
  PhotoSightings& any_photo() {
    return input.photos[static_cast<std::size_t>(whole(0, static_cast<int>(input.photos.size()) - 1))];
  }

  // The same photos taken of tags that stand otherwise.
  std::vector<PhotoSightings> photos_of(const simulation::Truth& other) {
    std::mt19937 again(wishes.seed);
    return simulation::photograph(other, wishes, again).input.photos;
  }
};

// Photo number i shows what it shows in the other set, if it is still in the job.
void take_from(const std::vector<PhotoSightings>& others, std::size_t i, Job& job) {
  for (const PhotoSightings& other : others)
    if (other.photo == job.input.photos[i].photo) job.input.photos[i].sightings = other.sightings;
}

// What is stated beside the photos is off by what its uncertainty says, so that the answer's is put to the
// test.
void state_with_errors(Job& job) {
  HardpointQuestion& question = job.corner.question;
  for (HardpointRecipe& recipe : question.hardpoints) {
    auto& way = std::get<TagOffset>(recipe.way);
    way.sigma_mm = stand_off_sigma_mm;
    for (int k = 0; k < 3; ++k) way.offset_tag_mm[k] += stand_off_sigma_mm * job.normal();
  }
  question.axes.forward_sigma_rad = rad_from_deg(0.2);
  question.axes.half_track_mm += half_track_sigma_mm * job.normal();
  question.axes.half_track_sigma_mm = half_track_sigma_mm;
}

void photograph(Job& job) {
  std::mt19937 again(job.wishes.seed);
  job.input = simulation::photograph(job.corner.truth, job.wishes, again).input;
  for (ScaleBar& bar : job.input.scale_bars) {
    bar.length_mm += 0.1 * job.normal();
    bar.sigma_mm = 0.1;
  }
}

struct Degradation {
  std::string words;
  std::function<void(Job&)> before{};  // the photos are taken
  std::function<void(Job&)> after{};
};

// From a photo on, these tags stand elsewhere.
void move_from_photo_on(Job& job, const std::vector<int>& tags, const Vector3d& move_mm) {
  simulation::Truth moved = job.corner.truth;
  for (const int tag : tags) moved.world_from_tag[static_cast<std::size_t>(tag)].translation_mm += move_mm;
  const auto photos = job.photos_of(moved);
  const int count = static_cast<int>(job.input.photos.size());
  const auto first = static_cast<std::size_t>(job.whole(1, std::max(1, count - 2)));
  for (std::size_t i = first; i < job.input.photos.size(); ++i) take_from(photos, i, job);
}

void keep_photos(Job& job, const std::function<bool(std::size_t)>& keep) {
  std::vector<PhotoSightings> kept;
  for (std::size_t i = 0; i < job.input.photos.size(); ++i)
    if (keep(i)) kept.push_back(job.input.photos[i]);
  job.input.photos = kept;
}

constexpr const char* floor_tag_on_a_cable = "a floor tag on a cable";

std::vector<Degradation> moved_things() {
  return {
      {"a tag moved between photos",
       {},
       [](Job& job) {
         const Vector3d direction = job.any_direction();
         const double move_mm = std::exp(job.even(-1.0, 3.0));
         const int tag = job.any_tag();
         move_from_photo_on(job, {tag}, move_mm * direction);
       }},
      {"the car settled between photos",
       {},
       [](Job& job) {
         std::vector<int> on_car;
         for (int tag = 5; tag < job.tags() - 2; ++tag) on_car.push_back(tag);
         move_from_photo_on(job, on_car, Vector3d(0, 0, -job.even(0.3, 6.0)));
       }},
      {floor_tag_on_a_cable,
       [](Job& job) {
         auto& tag = job.corner.truth.world_from_tag[static_cast<std::size_t>(job.whole(0, 2))];
         tag.translation_mm.z() += job.even(1.0, 8.0);
       },
       {}},
      {"two tags with one number",
       {},
       [](Job& job) {
         simulation::Truth second = job.corner.truth;
         const auto tag = static_cast<std::size_t>(job.any_tag());
         second.world_from_tag[tag].translation_mm += job.any_move_mm(60.0, 400.0);
         const auto photos = job.photos_of(second);
         const double share = job.even(0.2, 0.8);
         for (std::size_t i = 0; i < job.input.photos.size(); ++i)
           if (job.chance(share)) take_from(photos, i, job);
       }},
      {"photos of another car among them",
       {},
       [](Job& job) {
         simulation::Truth other = job.corner.truth;
         for (RigidTransform& tag : other.world_from_tag) tag.translation_mm += job.any_move_mm(5.0, 40.0);
         const auto photos = job.photos_of(other);
         const int count = job.whole(1, 6);
         for (int k = 0; k < count; ++k) {
           const auto i =
               static_cast<std::size_t>(job.whole(0, static_cast<int>(job.input.photos.size()) - 1));
           take_from(photos, i, job);
         }
       }},
  };
}

std::vector<Degradation> lengths_and_lenses() {
  return {
      {"printed at another size", [](Job& job) { job.wishes.printed_scale = job.even(0.94, 1.06); }, {}},
      {"a strip's length mistyped",
       {},
       [](Job& job) {
         ScaleBar& bar = job.input.scale_bars[static_cast<std::size_t>(job.whole(0, 1))];
         if (job.chance(0.3)) {
           bar.length_mm /= mm_per_inch;
           return;
         }
         const double sign = job.chance(0.5) ? 1.0 : -1.0;
         bar.length_mm += sign * job.even(1.0, 12.0);
       }},
      {"one strip only", {}, [](Job& job) { job.input.scale_bars.pop_back(); }},
      {"no strip", {}, [](Job& job) { job.input.scale_bars.clear(); }},
      {"zoomed photos that do not say so",
       {},
       [](Job& job) {
         simulation::Truth zoomed = job.corner.truth;
         zoomed.focal_px *= job.even(1.02, 1.8);
         const auto photos = job.photos_of(zoomed);
         const double share = job.even(0.1, 0.5);
         for (std::size_t i = 0; i < job.input.photos.size(); ++i)
           if (job.chance(share)) take_from(photos, i, job);
       }},
      {"cropped photos that do not say so",
       {},
       [](Job& job) {
         const double x_px = job.even(-500.0, 500.0), y_px = job.even(-400.0, 400.0);
         const int count = job.whole(1, 8);
         for (int k = 0; k < count; ++k)
           for (Sighting& sighting : job.any_photo().sightings) {
             const Eigen::Vector2d shift(x_px, y_px);
             for (auto& corner : sighting.corner_px) corner += shift;
             sighting.centre_px += shift;
             for (auto& edge : sighting.edge_points)
               for (auto& point : edge) point.point_px += shift;
           }
       }},
      {"EXIF says another focal length",
       {},
       [](Job& job) {
         const double factor = job.even(0.5, 2.0);
         for (PhotoSightings& photo : job.input.photos) photo.camera.focal_length_35mm_mm *= factor;
       }},
      {"EXIF missing",
       {},
       [](Job& job) {
         for (PhotoSightings& photo : job.input.photos)
           photo.camera = {"", "", "", 0.0, 0.0, 1.0, photo.camera.width_px, photo.camera.height_px};
       }},
      {"a stabiliser that shifts", [](Job& job) { job.wishes.principal_shift_px = job.even(1.0, 12.0); }, {}},
      {"focus that breathes", [](Job& job) { job.wishes.focal_change = job.even(0.0005, 0.01); }, {}},
  };
}

std::vector<Degradation> poor_photos() {
  return {
      {"few photos", [](Job& job) { job.wishes.photos = job.whole(3, 9); }, {}},
      {"all photos from one side", [](Job& job) { job.wishes.photos = 40; },
       [](Job& job) {
         const auto first = static_cast<std::size_t>(job.whole(0, 28));
         keep_photos(job, [&](std::size_t i) { return i >= first && i < first + 12; });
       }},
      {"photos from one standpoint", [](Job& job) { job.wishes.photos = 200; },
       [](Job& job) {
         const auto first = static_cast<std::size_t>(job.whole(0, 190));
         keep_photos(job, [&](std::size_t i) { return i >= first && i < first + 10; });
       }},
      {"blurred photos", [](Job& job) { job.wishes.edge_noise_px = job.even(0.2, 1.0); }, {}},
      {"blurred photos that look sharp", [](Job& job) { job.wishes.edge_noise_px = job.even(0.1, 0.6); },
       [](Job& job) {
         for (PhotoSightings& photo : job.input.photos)
           for (Sighting& sighting : photo.sightings) sighting.edge_noise_px = 0.03;
       }},
      {"bright light that eats the edges", [](Job& job) { job.wishes.outward_px = job.even(-3.0, 3.0); }, {}},
      {"a tag that peels off",
       [](Job& job) {
         job.wishes.peeling_tag = job.any_tag();
         job.wishes.peeled_mm = job.even(0.3, 5.0);
       },
       {}},
      {"most sightings lost",
       {},
       [](Job& job) {
         const double lost = job.even(0.3, 0.85);
         for (PhotoSightings& photo : job.input.photos)
           std::erase_if(photo.sightings, [&](const Sighting&) { return job.chance(lost); });
       }},
      {"a tag in two photos only",
       {},
       [](Job& job) {
         const int tag = job.any_tag();
         int seen = 0;
         for (PhotoSightings& photo : job.input.photos)
           std::erase_if(photo.sightings,
                         [&](const Sighting& s) { return s.tag_number == tag && ++seen > 2; });
       }},
      {"photos twice under two names",
       {},
       [](Job& job) {
         const double share = job.even(0.1, 1.0);
         const std::size_t count = job.input.photos.size();
         for (std::size_t i = 0; i < count; ++i)
           if (job.chance(share)) {
             PhotoSightings copy = job.input.photos[i];
             copy.photo = "copy of " + copy.photo;
             job.input.photos.push_back(copy);
           }
       }},
      {"a tag taken for another one",
       {},
       [](Job& job) {
         PhotoSightings& photo = job.any_photo();
         if (photo.sightings.empty()) return;
         const int other = job.any_tag();
         std::erase_if(photo.sightings, [&](const Sighting& s) { return s.tag_number == other; });
         if (!photo.sightings.empty()) photo.sightings.front().tag_number = other;
       }},
  };
}

void swap_ways(Job& job, std::size_t one, std::size_t other) {
  auto& points = job.corner.question.hardpoints;
  std::swap(points[one].way, points[other].way);
}

std::vector<Degradation> wrong_job_files() {
  return {
      {"side: right for left", {}, [](Job& job) { job.corner.question.side = Side::right; }},
      {"two pivots swapped",
       {},
       [](Job& job) {
         const int one = job.whole(0, 7);
         const int other = (one + job.whole(1, 7)) % 8;
         swap_ways(job, static_cast<std::size_t>(one), static_cast<std::size_t>(other));
       }},
      {"forward line the wrong way round",
       {},
       [](Job& job) {
         std::swap(job.corner.question.axes.forward_from, job.corner.question.axes.forward_to);
       }},
      {"half track mistyped",
       {},
       [](Job& job) { job.corner.question.axes.half_track_mm *= job.chance(0.5) ? 2.0 : 1.0 / mm_per_inch; }},
  };
}

const std::vector<Degradation>& degradations() {
  static const std::vector<Degradation> all = [] {
    std::vector<Degradation> list;
    for (const auto& part : {moved_things(), lengths_and_lenses(), poor_photos(), wrong_job_files()})
      list.insert(list.end(), part.begin(), part.end());
    return list;
  }();
  return all;
}

// What the made-up corner is told about its true self casts no doubt on the answer. Nor does it that three
// floor tags are checked by nothing, which every fourth job is told: only where one of them is what is wrong.
bool is_doubt(const std::string& warning, const Result& result) {
  const auto& wrong = result.degradations;
  if (warning.starts_with("Three floor tags make a plane that nothing checks"))
    return std::find(wrong.begin(), wrong.end(), floor_tag_on_a_cable) != wrong.end();
  return warning.find("of toe change stay even at the best height") == std::string::npos;
}

HardpointSet true_set(const CornerOfTags& corner) {
  HardpointSet set;
  const auto& names = hardpoint_names(Layout::strut);
  for (std::size_t i = 0; i < names.size(); ++i)
    set.points.push_back({names[i], corner.pivots_vehicle_mm[i]});
  return set;
}

// Seven of ten have one thing wrong, the others two; job 0 nothing.
std::vector<const Degradation*> chosen(Job& job, unsigned number) {
  if (number == 0) return {};
  std::vector<const Degradation*> list;
  const int count = job.chance(0.7) ? 1 : 2;
  for (int k = 0; k < count; ++k)
    list.push_back(
        &degradations()[static_cast<std::size_t>(job.whole(0, static_cast<int>(degradations().size()) - 1))]);
  return list;
}

void add_more_floor_tags(Job& job) {
  auto& tags = job.corner.truth.world_from_tag;
  for (const auto& [x_mm, y_mm] : {std::pair(330.0, 960.0), std::pair(-330.0, 490.0)}) {
    job.corner.question.axes.floor_tags.push_back(static_cast<int>(tags.size()));
    tags.push_back(simulation::facing({x_mm, y_mm, 0}, Vector3d::UnitZ()));
  }
}

}  // namespace

Result run_job(unsigned number) {
  Job job(number);
  const Advice truth = advise({true_set(job.corner), RodEnd{}, Driving{}, {}});
  Result result;
  // One in four floors has three tags, which nothing checks.
  if (!job.chance(0.25)) add_more_floor_tags(job);
  const auto list = chosen(job, number);
  for (const Degradation* one : list) {
    result.degradations.push_back(one->words);
    if (one->before) one->before(job);
  }
  photograph(job);
  state_with_errors(job);
  for (const Degradation* one : list)
    if (one->after) one->after(job);
  try {
    const Network network = adjust_network(job.input);
    Located located = locate(network, job.corner.question);
    located.hardpoints.wheel.camber_is_known = true;  // read as 0, as it is
    const Advice advice = advise({located.hardpoints, RodEnd{}, Driving{}, {}});
    std::vector<std::string> warnings = network.warnings;
    for (const auto& more : {located.notes, advice.warnings})
      warnings.insert(warnings.end(), more.begin(), more.end());
    std::erase_if(warnings, [&](const std::string& warning) { return !is_doubt(warning, result); });
    result.end = warnings.empty() && advice.found ? End::plain : End::warned;
    if (!warnings.empty()) result.says = warnings.front();
    result.height_error_mm = std::abs(advice.best_height_change_mm.value - truth.best_height_change_mm.value);
    result.height_sigma_mm = advice.best_height_change_mm.sigma;
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused && problem.kind() != ProblemKind::input) throw;
    result.end = End::refused;
    result.says = problem.what_happened();
  }
  return result;
}

std::string table_of(const std::vector<Result>& results) {
  struct Row {
    int jobs = 0, refused = 0, warned = 0, plain = 0, wrong = 0, missed = 0;
  };
  std::map<std::string, Row> rows;
  const auto count = [](Row& row, const Result& result) {
    ++row.jobs;
    row.refused += result.end == End::refused;
    row.warned += result.end == End::warned;
    row.plain += result.end == End::plain;
    row.wrong += result.wrong();
    row.missed += result.missed();
  };
  Row all;
  for (const Result& result : results) {
    count(all, result);
    for (const std::string& words : result.degradations) count(rows[words], result);
  }
  std::string text =
      "| what is wrong (alone or with another) | jobs | refused | warned | plain | off by more than 3 sigma "
      "| of "
      "these "
      "without a warning |\n|---|---|---|---|---|---|---|\n";
  const auto line = [&](const std::string& words, const Row& row) {
    text += "| " + words;
    for (const int number : {row.jobs, row.refused, row.warned, row.plain, row.wrong, row.missed})
      text += " | " + std::to_string(number);
    text += " |\n";
  };
  for (const auto& [words, row] : rows) line(words, row);
  line("**all jobs**", all);
  return text;
}

}  // namespace pivotfix::degraded
