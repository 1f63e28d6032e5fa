// SPDX-License-Identifier: Apache-2.0
// Which unknown stands where, and which stations are eliminated together.
#include <algorithm>
#include <iterator>

#include "bundle/normal_equations.h"

namespace pivotfix {

namespace {

// Of a group's elimination, in multiplications of one column by another: products of its rows, and adding
// them where they belong, which costs as much as so many rows.
double work(std::size_t stations, std::size_t columns) {
  constexpr double rows_of_adding = 6.0;
  const auto width = static_cast<double>(columns);
  return (station_width * static_cast<double>(stations) + rows_of_adding) * width * width;
}

std::vector<int> united(const std::vector<int>& one, const std::vector<int>& other) {
  std::vector<int> both;
  std::set_union(one.begin(), one.end(), other.begin(), other.end(), std::back_inserter(both));
  return both;
}

// Whether a station is eliminated faster together with the group than alone.
bool saves_work(const StationGroup& group, const std::vector<int>& columns) {
  const std::size_t count = group.stations.size();
  return count < StationGroup::most_stations &&
         work(count + 1, united(group.columns, columns).size()) <
             work(count, group.columns.size()) + work(1, columns.size());
}

}  // namespace

NormalEquations::NormalEquations(const Bundle& bundle, bool lenses_held)
    : bundle_(bundle), stations_(bundle.stations.size()), columns_(bundle.observations.size()) {
  const PhotoShift& sigma = bundle.shift_sigma;
  if (std::none_of(sigma.begin(), sigma.end(), [](double s) { return s > 0.0; }))
    width_of_station_ = first_shift;
  lay_out(lenses_held);
  lay_out_groups();
  lay_out_halves();
}

void NormalEquations::lay_out(bool lenses_held) {
  std::vector<bool> target_seen(bundle_.targets.size()), size_seen(bundle_.sizes.size()),
      lens_seen(bundle_.lenses.size());
  for (const BundleObservation& observation : bundle_.observations) {
    if (observation.rejected) continue;
    target_seen[observation.target] = true;
    size_seen[bundle_.targets[observation.target].size] = true;
    lens_seen[bundle_.stations[observation.station].lens] = true;
  }
  const auto place = [&](bool present, int width) {
    if (!present) return -1;
    const int at = layout_.width;
    layout_.width += width;
    return at;
  };
  for (std::size_t i = 0; i < bundle_.targets.size(); ++i)
    layout_.target.push_back(
        place(target_seen[i] && static_cast<int>(i) != bundle_.datum_target, target_width));
  for (std::size_t i = 0; i < bundle_.sizes.size(); ++i)
    layout_.size.push_back(place(size_seen[i] && bundle_.sizes[i].free, 1));
  for (std::size_t i = 0; i < bundle_.lenses.size(); ++i) {
    layout_.lens.emplace_back();
    for (int k = 0; k < lens_parameter_count; ++k)
      layout_.lens.back()[k] = place(lens_seen[i] && !lenses_held && bundle_.lenses[i].free[k], 1);
  }
}

// Column of the reduced equations for each local column after the station's.
std::array<int, shared_width> NormalEquations::reduced_columns(const BundleObservation& observation) const {
  std::array<int, shared_width> column;
  column.fill(-1);
  const int target = layout_.target[observation.target];
  for (int i = 0; i < target_width && target >= 0; ++i) column[i] = target + i;
  column[target_width] = layout_.size[bundle_.targets[observation.target].size];
  const auto& lens = layout_.lens[bundle_.stations[observation.station].lens];
  std::copy(lens.begin(), lens.end(), column.begin() + target_width + 1);
  return column;
}

void NormalEquations::lay_out_groups() {
  for (std::size_t i = 0; i < bundle_.observations.size(); ++i) {
    if (bundle_.observations[i].rejected) continue;
    stations_[bundle_.observations[i].station].observations.push_back(static_cast<int>(i));
    columns_[i].reduced = reduced_columns(bundle_.observations[i]);
  }
  for (std::size_t i = 0; i < stations_.size(); ++i) {
    if (stations_[i].observations.empty()) continue;
    const std::vector<int> columns = touched_columns(stations_[i]);
    if (groups_.empty() || !saves_work(groups_.back(), columns)) groups_.emplace_back();
    groups_.back().stations.push_back(static_cast<int>(i));
    groups_.back().columns = united(groups_.back().columns, columns);
  }
  for (const StationGroup& group : groups_) place_columns(group);
}

void NormalEquations::lay_out_halves() {
  constexpr double per_point = 2500.0;
  const auto of = [](const StationGroup& group) { return work(group.stations.size(), group.columns.size()); };
  for (const StationGroup& group : groups_) eliminating_ += of(group);
  for (const BundleObservation& observation : bundle_.observations)
    if (!observation.rejected)
      linearising_ += per_point * static_cast<double>(observation.points_target_mm.size());
  std::size_t middle = 0;
  for (double before = 0.0; middle < groups_.size() && before < 0.5 * eliminating_; ++middle)
    before += of(groups_[middle]);
  halves_[0].end = halves_[1].begin = middle;
  halves_[1].end = groups_.size();
  for (HalfOfGroups& half : halves_) {
    std::size_t widest = 0;
    for (std::size_t i = half.begin; i < half.end; ++i) widest = std::max(widest, groups_[i].columns.size());
    half.of_one_group.resize(static_cast<Eigen::Index>(widest), static_cast<Eigen::Index>(widest));
  }
}

std::vector<int> NormalEquations::touched_columns(const StationEquations& station) const {
  std::vector<bool> touched(layout_.width);
  for (const int i : station.observations)
    for (const int column : columns_[i].reduced)
      if (column >= 0) touched[column] = true;
  std::vector<int> columns;
  for (int column = 0; column < layout_.width; ++column)
    if (touched[column]) columns.push_back(column);
  return columns;
}

void NormalEquations::place_columns(const StationGroup& group) {
  std::vector<int> place(layout_.width, -1);
  for (std::size_t i = 0; i < group.columns.size(); ++i) place[group.columns[i]] = static_cast<int>(i);
  for (const int station : group.stations)
    for (const int i : stations_[station].observations)
      for (int k = 0; k < shared_width; ++k) {
        const int column = columns_[i].reduced[k];
        columns_[i].of_group[k] = column < 0 ? -1 : place[column];
      }
}

}  // namespace pivotfix
