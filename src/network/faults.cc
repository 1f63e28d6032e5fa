// SPDX-License-Identifier: Apache-2.0
#include "network/faults.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/length_words.h"
#include "base/median.h"
#include "base/units.h"
#include "network/bent_tags.h"
#include "network/outliers.h"
#include "network/pieces.h"
#include "network/rays.h"

namespace pivotfix {

namespace {

// Two-sided critical value of a normalised residual at one per mille (Baarda, "A Testing Procedure for Use in
// Geodetic Networks", Netherlands Geodetic Commission, 1968).
constexpr double critical_residual = 3.29;

std::string list_of(const std::vector<std::string>& names) {
  constexpr std::size_t most_named = 4;
  std::string list;
  for (std::size_t i = 0; i < std::min(most_named, names.size()); ++i)
    list += (i == 0 ? "" : ", ") + names[i];
  if (names.size() > most_named) list += " and " + std::to_string(names.size() - most_named) + " more";
  return list;
}

std::string names_of(const std::vector<Ray>& rays, const NetworkInput& input) {
  std::vector<std::string> names;
  for (const Ray& ray : rays) names.push_back(input.photos[ray.photo].photo);
  return list_of(names);
}

// The pictures are bent, or not what the sensor saw.
bool all_fit_badly(const Adjustment& done) {
  constexpr double much_worse = 6.0, least_px = 0.1;  // than edges are sharp
  return done.noise_scale >= much_worse && done.started.usual_miss_px >= least_px;
}

// Too small a bend to make all fit badly, and yet nearly all that errs.
bool are_bent(const Adjustment& done) {
  constexpr double worth_saying = 2.5, least_px = 0.03;
  return done.widened_for_bend >= worth_saying && done.started.usual_miss_px >= least_px;
}

bool tells_of_its_tag(const UsedSighting& used) {
  return used.fate != Fate::misfits_with_photo && used.fate != Fate::cut_off;
}

double off_axis_px(const StartedBundle& started, std::size_t i) {
  const Bundle& bundle = started.bundle;
  const Lens& lens = bundle.lenses[bundle.stations[bundle.observations[i].station].lens].lens;
  const Eigen::Vector2d axis_px(lens.values[lens_principal_x_px], lens.values[lens_principal_y_px]);
  return (started.used[i].sighting->centre_px - axis_px).norm();
}

// How far from its axis each lens is known: but for a few, no sighting that fits lies further out. Beyond,
// its polynomial goes where it will.
std::vector<double> known_px_off_axis(const StartedBundle& started) {
  constexpr std::size_t enough = 2;
  std::vector<std::vector<double>> off_axis_of_lens(started.bundle.lenses.size());
  for (std::size_t i = 0; i < started.used.size(); ++i) {
    const BundleObservation& observation = started.bundle.observations[i];
    if (!observation.rejected)
      off_axis_of_lens[started.bundle.stations[observation.station].lens].push_back(off_axis_px(started, i));
  }
  std::vector<double> known;
  for (std::vector<double>& off_axis : off_axis_of_lens) {
    std::sort(off_axis.rbegin(), off_axis.rend());
    known.push_back(off_axis.size() < enough ? 0.0 : off_axis[enough - 1]);
  }
  return known;
}

constexpr double many = 0.25;  // of a tag's sightings: single ones are shadows and fingers

// What is rejected of one tag.
struct OddSightings {
  // Of the tag, odd or not; without those that say nothing of it: of photos that were rejected whole, or that
  // nothing ties to the others.
  std::size_t all = 0;
  std::vector<Ray> rays;
  std::vector<Ray> at_rim;      // where the lens is not known: nobody can say what is wrong
  double centre_miss_px = 0.0;  // the middle one of them
  double tolerated_px = 0.0;
};

OddSightings odd_sightings(const Adjustment& done, std::size_t target, const std::vector<double>& known_px) {
  const Bundle& bundle = done.started.bundle;
  OddSightings odd;
  std::vector<double> misses_px;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    const BundleObservation& observation = bundle.observations[i];
    const UsedSighting& used = done.started.used[i];
    if (observation.target != static_cast<int>(target) || !tells_of_its_tag(used)) continue;
    ++odd.all;
    if (!observation.rejected) continue;
    if (off_axis_px(done.started, i) > known_px[bundle.stations[observation.station].lens]) {
      odd.at_rim.push_back(ray_to_centre(done.started, i));
      continue;
    }
    odd.rays.push_back(ray_to_centre(done.started, i));
    misses_px.push_back(centre_miss_px(bundle, observation));
    odd.tolerated_px = std::max(odd.tolerated_px, tolerated_miss_px(done.started, observation));
  }
  if (misses_px.empty()) return odd;
  odd.centre_miss_px = median(misses_px);
  return odd;
}

// Stuck on something round, it has no plane: its centre wanders with the view. True if so.
bool is_bent(const Adjustment& done, const NetworkInput& input, std::size_t target,
             std::vector<std::string>& sentences) {
  const double bow = bow_of_tag(done.started, target);
  if (bow <= 0.0) return false;
  const int number = done.started.tags[target].number;
  sentences.push_back("Tag " + std::to_string(number) + " is bent, by " +
                      length_words(bow * input.side_mm_of(number), 1) +
                      " or more: nothing is known better than that where it is. Stick it on something flat.");
  return true;
}

// Of a tag that is not to blame as far as anybody can tell.
void judge_rim(const OddSightings& odd, const std::string& tag, const NetworkInput& input,
               std::vector<std::string>& sentences) {
  if (odd.at_rim.size() < 2 || static_cast<double>(odd.at_rim.size()) < many * static_cast<double>(odd.all))
    return;
  sentences.push_back(
      tag + " does not fit where it is at the very edge of the picture (" + names_of(odd.at_rim, input) +
      "): no other tag tells how the lens bends there. Take photos that show it nearer to the "
      "middle.");
}

// What the worst sighting of a tag misses by, rejected or not: the middle one of the other tags. Half of them
// may have moved before it tells anything but how the pictures are bent.
double worst_miss_of_others_px(const Adjustment& done, std::size_t target) {
  const Bundle& bundle = done.started.bundle;
  std::vector<double> worst_px(bundle.targets.size(), -1.0);
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    if (!tells_of_its_tag(done.started.used[i])) continue;
    double& worst = worst_px[static_cast<std::size_t>(bundle.observations[i].target)];
    worst = std::max(worst, centre_miss_px(bundle, bundle.observations[i]));
  }
  worst_px[target] = -1.0;
  std::erase_if(worst_px, [](double worst) { return worst < 0.0; });
  return worst_px.empty() ? 0.0 : median(worst_px);
}

// How far the middle one of a tag's odd sightings must miss before the tag may have moved, and before it has.
struct Blame {
  double doubted_px = 0.0, blamed_px = 0.0;
};

Blame blame_of(const Adjustment& done, std::size_t target) {
  constexpr double times_usual = 8.0, times_usual_of_bad = 25.0;
  constexpr double doubted_times_others = 3.0, blamed_times_others = 6.0;
  const double least_px =
      (all_fit_badly(done) ? times_usual_of_bad : times_usual) * done.started.usual_miss_px;
  if (all_fit_badly(done) || !are_bent(done)) return {least_px, least_px};
  const double others_px = worst_miss_of_others_px(done, target);
  return {std::max(least_px, doubted_times_others * others_px),
          std::max(least_px, blamed_times_others * others_px)};
}

void judge_tag(const Adjustment& done, const NetworkInput& input, std::size_t target,
               const std::vector<double>& known_px, std::vector<std::string>& sentences) {
  constexpr std::size_t a_few = 3;                     // are enough where they agree with each other
  constexpr double rays_agree = 2.0, rays_meet = 8.0;  // within so many times what is tolerated
  constexpr double least_moved_mm = 0.2;
  if (is_bent(done, input, target, sentences)) return;
  const OddSightings odd = odd_sightings(done, target, known_px);
  const std::size_t count = odd.rays.size();
  const bool are_many = static_cast<double>(count) >= many * static_cast<double>(odd.all);
  const bool agree = count >= a_few && odd.centre_miss_px >= odd.tolerated_px &&
                     meeting_point(odd.rays, rays_agree * odd.tolerated_px);
  const int number = done.started.tags[target].number;
  const std::string name = "Tag " + std::to_string(number);
  if (count < 2 || (!are_many && !agree)) return judge_rim(odd, name, input, sentences);
  const std::string share = std::to_string(count) + " of " + std::to_string(odd.all) + " photos";
  if (odd.centre_miss_px < odd.tolerated_px) {
    sentences.push_back(name + " is no flat square in " + share +
                        ", though its centre fits: bent, or does a corner peel off? Stick it down flat, or "
                        "replace it.");
    return;
  }
  const Blame blame = blame_of(done, target);
  if (odd.centre_miss_px < blame.doubted_px) return;
  const auto other = meeting_point(odd.rays, rays_meet * odd.tolerated_px);
  const Eigen::Vector3d& place = done.started.bundle.targets[target].network_from_target.translation_mm;
  const double apart_mm = other ? (*other - place).norm() : 0.0;
  if (apart_mm > 2.0 * input.side_mm_of(number))
    sentences.push_back(name + " stands in two places, " + length_words(apart_mm, 0) + " apart (" +
                        names_of(odd.rays, input) +
                        "): it is printed twice. Take one away, or photograph again.");
  else if (odd.centre_miss_px < blame.blamed_px)
    sentences.push_back(name +
                        " may have been moved between photos, or the pictures are bent more than elsewhere "
                        "where it is (" +
                        names_of(odd.rays, input) +
                        "). See whether it sits fast; photographed again without the bend, it would tell.");
  else if (apart_mm > least_moved_mm)
    sentences.push_back(name + " was moved between photos, by " + length_words(apart_mm, 1) + " (" +
                        names_of(odd.rays, input) +
                        " show it elsewhere), or something covers part of it there. Trust nothing that hangs "
                        "on it: stick it on again, keep it in the open, and photograph again.");
  else
    sentences.push_back(name + " does not fit in " + share +
                        ": loose, wet or half hidden? Stick it on again, or replace it.");
}

// Trimmed closely, or half behind a part: what is dark beyond the rim moves an edge.
void judge_white_rim(const Adjustment& done, const NetworkInput& input, std::size_t target,
                     std::vector<std::string>& sentences) {
  constexpr double much_px = 0.15;
  std::size_t all = 0;
  std::vector<std::string> photos;
  for (std::size_t i = 0; i < done.started.used.size(); ++i) {
    const BundleObservation& observation = done.started.bundle.observations[i];
    if (observation.target != static_cast<int>(target) || observation.rejected) continue;
    ++all;
    const auto& doubt_px = done.started.used[i].sighting->rim_doubt_px;
    const auto [least, most] = std::minmax_element(doubt_px.begin(), doubt_px.end());
    if (*most - *least > much_px) photos.push_back(input.photos[observation.station].photo);
  }
  if (photos.size() < 2 || 2 * photos.size() < all) return;
  sentences.push_back("Tag " + std::to_string(done.started.tags[target].number) +
                      " has too little white on one side, or something dark lies against it (" +
                      list_of(photos) + "): that edge may be off by more than " + format_fixed(much_px, 2) +
                      " px. Leave a strip of paper as wide as one of its squares all round.");
}

void judge_zoom(const Adjustment& done, const NetworkInput& input, std::vector<std::string>& sentences) {
  if (done.started.zoomed_photos.empty()) return;
  std::vector<std::string> photos;
  for (const int photo : done.started.zoomed_photos) photos.push_back(input.photos[photo].photo);
  sentences.push_back("Zoomed or cropped against the others: " + list_of(photos) +
                      ". They got a lens of their own; without zoom the result is better.");
}

void judge_bend(const Adjustment& done, std::vector<std::string>& sentences) {
  if (!are_bent(done)) return;
  sentences.push_back("Whole tags stand beside where the other photos put them, by " +
                      format_fixed(done.started.usual_miss_px, 2) +
                      " px and more than their edges explain: the pictures are bent (correction of a wide "
                      "lens, a phone that moved). What is stated of uncertainty is " +
                      format_fixed(done.widened_for_bend, 1) +
                      " times as large for it. Hold the phone still, and take the main lens, or another "
                      "camera app.");
}

// What no single sighting or tag is to blame for.
void judge_sharpness(const Adjustment& done, std::vector<std::string>& sentences) {
  if (!all_fit_badly(done)) return judge_bend(done, sentences);
  sentences.push_back("The photos fit together to " + format_fixed(done.started.usual_miss_px, 2) +
                      " px only, " + format_fixed(done.noise_scale, 0) +
                      " times worse than their edges are sharp: does the phone bend or smooth its pictures "
                      "(correction of a wide lens, HDR)? The uncertainties have it in. The main lens, or "
                      "another camera app, may do better.");
}

// The strip that fits worst to the others; null where they agree, or there is one only.
const ScaleBarResult* disagreeing_strip(const Network& network) {
  const auto size = [](const ScaleBarResult& bar) { return std::abs(bar.normalised_residual); };
  const auto worst = std::max_element(network.scale_bars.begin(), network.scale_bars.end(),
                                      [&](const auto& a, const auto& b) { return size(a) < size(b); });
  return network.scale_bars.size() < 2 || size(*worst) <= critical_residual ? nullptr : &*worst;
}

// At what part of its stated side a strip's tag was printed, going by the strips.
double printed_at(const Adjustment& done, const ScaleBar& bar) {
  const Bundle& bundle = done.started.bundle;
  const int target = target_of(done.started, {bar.from_tag, {}});
  return bundle.sizes[target < 0 ? 0 : bundle.targets[target].size].factor;
}

// Where the length of everything comes from, when nothing checks it.
void judge_scale(const Adjustment& done, const NetworkInput& input, const Network& network,
                 std::vector<std::string>& sentences) {
  constexpr double most_stretched =
      0.015;  // printers, unless they fit the sheet to the page (common practice)
  if (input.scale_bars.empty()) {
    sentences.push_back(
        "No scale strip: all lengths rest on the printed sides of the tags, which a printer changes by up to "
        "2 %. Measure a strip and put it into the job file.");
    return;
  }
  const std::vector<ScaleBar>& bars = done.started.scale_bars;
  if (bars.empty() || disagreeing_strip(network)) return;
  double factor = 1.0;  // the one furthest from one
  for (const ScaleBar& bar : bars)
    if (const double one = printed_at(done, bar); std::abs(one - 1.0) > std::abs(factor - 1.0)) factor = one;
  if (std::abs(factor - 1.0) <= most_stretched) return;
  const std::string printed = "the tags were printed at " + format_fixed(100.0 * factor, 1) + " %";
  if (bars.size() == 1)
    sentences.push_back("By the only scale strip " + printed + ": is its length of " +
                        length_words(bars.front().length_mm, 1) +
                        " right? Measure it again, and a second one.");
  else
    sentences.push_back("By the scale strips " + printed +
                        ". Right if the printer fitted the sheet to the page, or the photos are overexposed; "
                        "if not, the rule or tape was wrong, and with it all lengths: measure a strip with "
                        "another one.");
}

void judge_photos(const Adjustment& done, const NetworkInput& input, std::vector<std::string>& sentences) {
  constexpr std::size_t fewest = 8;
  std::vector<std::string> odd;
  const std::vector<bool> at_odds = photos_at_odds(done.started);
  for (std::size_t i = 0; i < at_odds.size(); ++i)
    if (at_odds[i]) odd.push_back(input.photos[i].photo);
  if (!odd.empty())
    sentences.push_back(
        "Left out, since most of its tags stand elsewhere than in the other photos: " + list_of(odd) +
        ". Had something moved, or was the camera not still? Photograph again what they show.");
  std::set<int> used;
  for (const BundleObservation& observation : done.started.bundle.observations)
    if (!observation.rejected) used.insert(observation.station);
  if (used.size() < fewest && !done.cross_validation.done)
    sentences.push_back("Only " + std::to_string(used.size()) +
                        " photos take part, too few to check each other: what is stated of uncertainty is " +
                        format_fixed(done.widened_for_count, 1) + " times as large for it. Take " +
                        std::to_string(fewest) + " or more.");
}

// What holds by little, or not at all.
void judge_ties(const Adjustment& done, const NetworkInput& input, std::vector<std::string>& sentences) {
  const CutOff off = cut_off(done.started);
  if (!off.targets.empty())
    sentences.push_back("Nothing that fits ties " + tags_in_words(off.targets, done.started) +
                        " to the others: left out. Take two more photos of it together with others.");
  for (const SingleTie& tie : single_ties(done.started.bundle))
    sentences.push_back(input.photos[tie.station].photo + " alone ties " +
                        tags_in_words(tie.targets, done.started) +
                        " to the others: nothing checks it. Take two more photos that show both.");
  for (const ScaleBar& bar : input.scale_bars)
    if (std::none_of(done.started.scale_bars.begin(), done.started.scale_bars.end(), [&](const auto& used) {
          return used.from_tag == bar.from_tag && used.to_tag == bar.to_tag;
        }))
      sentences.push_back("Scale strip " + std::to_string(bar.from_tag) + "-" + std::to_string(bar.to_tag) +
                          " was left out: its tags are not in two photos that fit together.");
  if (!done.settled)
    sentences.push_back(
        "The photos contradict each other so much that no end of it was found: stated "
        "uncertainties are " +
        format_fixed(done.widened, 1) +
        " times as large for it. Look at what was left out, and photograph again.");
}

void judge_copies(const Adjustment& done, const NetworkInput& input, std::vector<std::string>& sentences) {
  std::vector<std::string> copies;
  for (const auto& [photo, original] : done.started.copies) copies.push_back(input.photos[photo].photo);
  if (copies.empty()) return;
  sentences.push_back("The same picture under another name, counted once: " + list_of(copies) + ".");
}

constexpr const char* finer_than_rules =
    "So little is no error of measuring: the uncertainty stated of the strips is too small, or the pictures "
    "are bent.";

void judge_scale_bars(const Network& network, std::vector<std::string>& sentences) {
  const ScaleBarResult* worst = disagreeing_strip(network);
  if (!worst) return;
  const double off_mm = worst->adjusted_mm - worst->bar.length_mm;
  const std::string name = std::to_string(worst->bar.from_tag) + "-" + std::to_string(worst->bar.to_tag);
  const std::string found = length_words(std::abs(off_mm), decimals_that_show(off_mm, 2)) + ", " +
                            format_fixed(std::abs(worst->normalised_residual), 1) + " standard deviations (" +
                            format_fixed(critical_residual, 2) + " allowed)";
  if (network.scale_bars.size() == 2)
    sentences.push_back("The two scale strips disagree by more than they may: " + found + ". " +
                        (std::abs(off_mm) < finest_length_mm
                             ? finer_than_rules
                             : "Which one is wrong cannot be told from two: measure both again."));
  else
    sentences.push_back("Scale strip " + name + " disagrees with the others: it is " +
                        (off_mm > 0.0 ? "longer" : "shorter") + " than stated by " + found + ". " +
                        (std::abs(off_mm) < finest_length_mm ? finer_than_rules : "Measure it again."));
}

}  // namespace

std::vector<std::string> find_faults(const Adjustment& done, const NetworkInput& input,
                                     const Network& network) {
  std::vector<std::string> sentences;
  judge_copies(done, input, sentences);
  judge_zoom(done, input, sentences);
  judge_photos(done, input, sentences);
  judge_ties(done, input, sentences);
  judge_sharpness(done, sentences);
  judge_scale(done, input, network, sentences);
  judge_scale_bars(network, sentences);
  const std::vector<double> known_px = known_px_off_axis(done.started);
  for (std::size_t target = 0; target < done.started.bundle.targets.size(); ++target) {
    judge_tag(done, input, target, known_px, sentences);
    judge_white_rim(done, input, target, sentences);
  }
  return sentences;
}

}  // namespace pivotfix
