// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_patches.h"

#include <algorithm>
#include <limits>
#include <memory>
#include <numeric>

#include "tags/dark_rows.h"
#include "tags/local_threshold.h"

namespace pivotfix {
namespace {

// What is known of the runs with one label. A label whose parent is another is part of that one's patch.
struct Label {
  int parent = 0;
  int left = 0;
  int end = 0;  // one after the rightmost pixel
  int top = 0;
  int bottom = 0;
  int runs = 1;
};

struct LabelledRun {
  int first;
  int end;  // one after the last pixel
  int label;
};

// Runs row by row, each row closed by a run that lies beyond all others. In blocks that stay where they are
// and, unlike a vector, are not filled with zeros before they are written.
class RunRows {
 public:
  explicit RunRows(const GreyLevel& level) : most_of_row_(static_cast<std::size_t>(level.width_px) / 2 + 2) {
    rows_.reserve(static_cast<std::size_t>(level.height_px) + 1);
    close_row(next_row());  // above the first row lies an empty one
  }
  // Room for another row.
  LabelledRun* next_row() {
    constexpr std::size_t usual_block = 1 << 15;
    if (left_ < most_of_row_) {
      left_ = std::max(usual_block, most_of_row_);
      blocks_.push_back(std::make_unique_for_overwrite<LabelledRun[]>(left_));
      next_ = blocks_.back().get();
    }
    return next_;
  }
  void close_row(LabelledRun* end) {
    constexpr int beyond = std::numeric_limits<int>::max();
    *end = {beyond, beyond, 0};
    rows_.push_back({next_, end});
    left_ -= static_cast<std::size_t>(end + 1 - next_);
    next_ = end + 1;
  }
  // Of the row above row y.
  const LabelledRun* above(int y) const { return rows_[static_cast<std::size_t>(y)].begin; }
  // visit(y, run) from the top, in each row from the left.
  template <typename Visit>
  void for_each(const Visit& visit) const {
    for (std::size_t row = 1; row < rows_.size(); ++row)
      for (const LabelledRun* run = rows_[row].begin; run != rows_[row].end; ++run)
        visit(static_cast<int>(row) - 1, *run);
  }

 private:
  struct Row {
    const LabelledRun* begin;
    const LabelledRun* end;
  };
  std::size_t most_of_row_;
  std::vector<std::unique_ptr<LabelledRun[]>> blocks_{};
  LabelledRun* next_ = nullptr;
  std::size_t left_ = 0;  // in the last block
  std::vector<Row> rows_{};
};

// Runs of all rows, joined into patches by union and find.
class PatchForest {
 public:
  PatchForest(const GreyLevel& level, const LocalThreshold& threshold);

  // Of a label after everything is joined; a root comes before what was joined to it.
  const std::vector<Label>& labels() const { return labels_; }
  const RunRows& runs() const { return runs_; }

 private:
  int root_of(int label) {
    while (labels_[label].parent != label) {
      labels_[label].parent = labels_[labels_[label].parent].parent;
      label = labels_[label].parent;
    }
    return label;
  }
  int join(int a, int b);
  int new_label(int y, int first, int end);
  int label_below(int y, int first, int end, const LabelledRun* above);

  RunRows runs_;
  std::vector<Label> labels_{};
};

int PatchForest::join(int a, int b) {
  if (a == b) return a;
  if (b < a) std::swap(a, b);
  Label& kept = labels_[a];
  Label& given = labels_[b];
  given.parent = a;
  kept.left = std::min(kept.left, given.left);
  kept.end = std::max(kept.end, given.end);
  kept.top = std::min(kept.top, given.top);
  kept.bottom = std::max(kept.bottom, given.bottom);
  kept.runs += given.runs;
  return a;
}

int PatchForest::new_label(int y, int first, int end) {
  const int label = static_cast<int>(labels_.size());
  labels_.push_back({label, first, end, y, y});
  return label;
}

// `above`: the first run of the row above that touches this one, across a corner at least.
inline int PatchForest::label_below(int y, int first, int end, const LabelledRun* above) {
  int label = root_of(above->label);
  for (++above; above->first <= end; ++above) label = join(label, root_of(above->label));
  Label& own = labels_[label];
  own.left = std::min(own.left, first);
  own.end = std::max(own.end, end);
  own.bottom = y;
  ++own.runs;
  return label;
}

PatchForest::PatchForest(const GreyLevel& level, const LocalThreshold& threshold) : runs_(level) {
  DarkRows rows(level, threshold);
  std::vector<int> changes(static_cast<std::size_t>(level.width_px) + 1);
  for (int y = 0; y < level.height_px; ++y) {
    const int* const changes_end = rows.places_of_change(y, changes.data());
    LabelledRun* next = runs_.next_row();
    const LabelledRun* above = runs_.above(y);
    for (const int* change = changes.data(); change != changes_end; change += 2) {
      const int first = change[0];
      const int end = change[1];
      while (above->end < first) ++above;
      *next++ = {first, end,
                 above->first <= end ? label_below(y, first, end, above) : new_label(y, first, end)};
    }
    runs_.close_row(next);
  }
  for (Label& label : labels_) label.parent = labels_[label.parent].parent;
}

// White cells cut up a tag's rows: on average over its rows, into 1.8 to 2.9 stretches. (Of all members of
// the family turned by any angle, as seen from in front and foreshortened to one half.) Blur and noise change
// that a little; half of all texture of a small tag's size lies outside.
bool may_have_cells(const Label& label, int rows) {
  constexpr double least_runs_a_row = 1.4;
  constexpr double most_runs_a_row = 3.5;
  return label.runs >= least_runs_a_row * rows && label.runs <= most_runs_a_row * rows;
}

bool is_wanted(const Label& label, const PatchWish& wish) {
  const int width = label.end - label.left;
  const int height = label.bottom - label.top + 1;
  const int longest = std::max(width, height);
  if (wish.longest_px > 0 && longest > wish.longest_px) return false;
  // A foreshortened tag is narrower than it is long.
  if (longest < wish.smallest_side_px || std::min(width, height) < 0.4 * wish.smallest_side_px) return false;
  return longest >= wish.least_touched_px() || may_have_cells(label, height);
}

}  // namespace

Rim DarkPatch::rows_of_rim() const {
  Rim rim;
  rim.top = runs.front().y;
  rim.left = left;
  const auto rows = static_cast<std::size_t>(runs.back().y - rim.top + 1);
  rim.first_x.reserve(rows);
  rim.last_x.reserve(rows);
  for (const Run& run : runs) {
    if (static_cast<std::size_t>(run.y - rim.top) < rim.last_x.size()) {
      rim.last_x.back() = run.last;
    } else {
      rim.first_x.push_back(run.first);
      rim.last_x.push_back(run.last);
    }
  }
  return rim;
}

namespace {

// Goes through runs in the order of their rows and tells of each column when it is met first. Columns that
// were met are skipped by a chain of jumps that shortens itself, so that long runs over one another cost
// little; most runs lie within one interval that was met as a whole.
class FirstMeetings {
 public:
  explicit FirstMeetings(std::size_t columns) : next_(columns + 1), left_(columns) {
    std::iota(next_.begin(), next_.end(), std::size_t{0});
  }
  bool all_met() const { return left_ == 0; }
  template <typename Visit>
  void meet(std::size_t first, std::size_t end, const Visit& visit) {
    if (first >= met_first_ && end <= met_end_) return;
    for (std::size_t c = free_from(first); c < end; c = free_from(c)) {
      visit(c);
      next_[c] = c + 1;
      --left_;
    }
    if (first <= met_end_ && end >= met_first_) {
      met_first_ = std::min(met_first_, first);
      met_end_ = std::max(met_end_, end);
    } else if (end - first > met_end_ - met_first_) {
      met_first_ = first;
      met_end_ = end;
    }
  }

 private:
  std::size_t free_from(std::size_t c) {
    while (next_[c] != c) {
      next_[c] = next_[next_[c]];
      c = next_[c];
    }
    return c;
  }
  std::vector<std::size_t> next_;
  std::size_t left_;
  std::size_t met_first_ = 0;
  std::size_t met_end_ = 0;
};

}  // namespace

void DarkPatch::add_columns(Rim& rim) const {
  const auto columns = static_cast<std::size_t>(right - left + 1);
  const auto meet_all = [&](auto run, auto end, std::vector<int>& y_of_column) {
    y_of_column.resize(columns);
    FirstMeetings meetings(columns);
    for (; run != end && !meetings.all_met(); ++run)
      meetings.meet(static_cast<std::size_t>(run->first - left),
                    static_cast<std::size_t>(run->last - left + 1),
                    [&](std::size_t c) { y_of_column[c] = run->y; });
  };
  meet_all(runs.begin(), runs.end(), rim.highest_y);
  meet_all(runs.rbegin(), runs.rend(), rim.lowest_y);
}

std::vector<DarkPatch> find_dark_patches(const GreyLevel& level, const PatchWish& wish,
                                         const std::vector<TagCorners>& known_tags) {
  LocalThreshold threshold(level, wish.least_contrast);
  for (const TagCorners& tag : known_tags) threshold.clear_inside(tag);
  const PatchForest forest(level, threshold);
  // Only patches that may be a tag are looked at further; they get numbers in the order of their first pixel.
  constexpr int unwanted = -1;
  std::vector<int> number_of_label(forest.labels().size(), unwanted);
  std::vector<DarkPatch> patches;
  for (std::size_t i = 0; i < forest.labels().size(); ++i) {
    const Label& label = forest.labels()[i];
    if (label.parent != static_cast<int>(i)) {
      number_of_label[i] = number_of_label[label.parent];
    } else if (is_wanted(label, wish)) {
      number_of_label[i] = static_cast<int>(patches.size());
      DarkPatch& patch = patches.emplace_back();
      patch.runs.reserve(static_cast<std::size_t>(label.bottom - label.top + 1));
      patch.left = label.left;
      patch.right = label.end - 1;
    }
  }
  forest.runs().for_each([&](int y, const LabelledRun& run) {
    const int number = number_of_label[run.label];
    if (number == unwanted) return;
    patches[number].runs.push_back({y, run.first, run.end - 1});
    patches[number].dark_px += run.end - run.first;
  });
  return patches;
}

}  // namespace pivotfix
