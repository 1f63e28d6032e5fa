// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_patches.h"

#include <algorithm>
#include <numeric>

#include "tags/dark_rows.h"
#include "tags/local_threshold.h"

namespace pivotfix {
namespace {

// What is known of the runs with one label. A label whose parent is another is part of that one's patch.
struct Label {
  int parent = 0;
  int left = 0;
  int right = 0;
  int top = 0;
  int bottom = 0;
};

struct LabelledRun {
  int first = 0;
  int last = 0;
  int label = 0;
};

// Runs of all rows, joined into patches by union and find.
class PatchForest {
 public:
  PatchForest(const GreyLevel& level, const LocalThreshold& threshold);

  // Of a label after everything is joined; a root comes before what was joined to it.
  const std::vector<Label>& labels() const { return labels_; }
  // visit(y, run) from the top, in each row from the left.
  template <typename Visit>
  void for_each_run(const Visit& visit) const {
    for (std::size_t y = 0; y + 1 < row_begin_.size(); ++y)
      for (std::size_t i = row_begin_[y]; i < row_begin_[y + 1]; ++i) visit(static_cast<int>(y), runs_[i]);
  }

 private:
  int root_of(int label) {
    while (labels_[label].parent != label) {
      labels_[label].parent = labels_[labels_[label].parent].parent;
      label = labels_[label].parent;
    }
    return label;
  }
  int join(int a, int b);
  int new_label(int y, int first, int last);
  int label_below(int y, int first, int last, const LabelledRun* above, const LabelledRun* above_end);

  std::vector<LabelledRun> runs_{};
  std::vector<std::size_t> row_begin_{};
  std::vector<Label> labels_{};
};

int PatchForest::join(int a, int b) {
  if (a == b) return a;
  if (b < a) std::swap(a, b);
  Label& kept = labels_[a];
  Label& given = labels_[b];
  given.parent = a;
  kept.left = std::min(kept.left, given.left);
  kept.right = std::max(kept.right, given.right);
  kept.top = std::min(kept.top, given.top);
  kept.bottom = std::max(kept.bottom, given.bottom);
  return a;
}

int PatchForest::new_label(int y, int first, int last) {
  const int label = static_cast<int>(labels_.size());
  labels_.push_back({label, first, last, y, y});
  return label;
}

// `above`: the first run of the row above that touches this one, across a corner at least.
inline int PatchForest::label_below(int y, int first, int last, const LabelledRun* above,
                                    const LabelledRun* above_end) {
  int label = root_of(above->label);
  for (++above; above != above_end && above->first <= last + 1; ++above)
    label = join(label, root_of(above->label));
  Label& own = labels_[label];
  own.left = std::min(own.left, first);
  own.right = std::max(own.right, last);
  own.bottom = y;
  return label;
}

PatchForest::PatchForest(const GreyLevel& level, const LocalThreshold& threshold) {
  DarkRows rows(level, threshold);
  const std::size_t most_of_row = static_cast<std::size_t>(level.width_px) / 2 + 1;
  row_begin_.reserve(static_cast<std::size_t>(level.height_px) + 1);
  row_begin_.push_back(0);
  std::size_t count = 0;
  std::size_t above_begin = 0;
  for (int y = 0; y < level.height_px; ++y) {
    if (runs_.size() < count + most_of_row) runs_.resize(2 * (count + most_of_row));
    const LabelledRun* above = runs_.data() + above_begin;
    const LabelledRun* const above_end = runs_.data() + count;
    LabelledRun* next = runs_.data() + count;
    rows.for_each_stretch(y, [&](int first, int last) {
      while (above != above_end && above->last < first - 1) ++above;
      const bool touches = above != above_end && above->first <= last + 1;
      *next++ = {first, last,
                 touches ? label_below(y, first, last, above, above_end) : new_label(y, first, last)};
    });
    above_begin = count;
    count = static_cast<std::size_t>(next - runs_.data());
    row_begin_.push_back(count);
  }
  for (Label& label : labels_) label.parent = labels_[label.parent].parent;
}

bool is_wanted(const Label& label, const PatchWish& wish) {
  const int width = label.right - label.left + 1;
  const int height = label.bottom - label.top + 1;
  const int longest = std::max(width, height);
  if (wish.longest_px > 0 && longest > wish.longest_px) return false;
  // A foreshortened tag is narrower than it is long.
  return longest >= wish.smallest_side_px && std::min(width, height) >= 0.4 * wish.smallest_side_px;
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
// little.
class FirstMeetings {
 public:
  explicit FirstMeetings(std::size_t columns) : next_(columns + 1) {
    std::iota(next_.begin(), next_.end(), std::size_t{0});
  }
  template <typename Visit>
  void meet(std::size_t first, std::size_t last, const Visit& visit) {
    for (std::size_t c = free_from(first); c <= last; c = free_from(c)) {
      visit(c);
      next_[c] = c + 1;
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
};

}  // namespace

void DarkPatch::add_columns(Rim& rim) const {
  const auto columns = static_cast<std::size_t>(right - left + 1);
  const auto meet = [&](FirstMeetings& meetings, const Run& run, std::vector<int>& y_of_column) {
    meetings.meet(static_cast<std::size_t>(run.first - left), static_cast<std::size_t>(run.last - left),
                  [&](std::size_t c) { y_of_column[c] = run.y; });
  };
  rim.highest_y.resize(columns);
  rim.lowest_y.resize(columns);
  FirstMeetings from_top(columns), from_bottom(columns);
  for (const Run& run : runs) meet(from_top, run, rim.highest_y);
  for (auto run = runs.rbegin(); run != runs.rend(); ++run) meet(from_bottom, *run, rim.lowest_y);
}

std::vector<DarkPatch> find_dark_patches(const GreyLevel& level, const PatchWish& wish,
                                         const std::vector<TagCorners>& known_tags) {
  LocalThreshold threshold(level);
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
      patch.right = label.right;
    }
  }
  forest.for_each_run([&](int y, const LabelledRun& run) {
    const int number = number_of_label[run.label];
    if (number == unwanted) return;
    patches[number].runs.push_back({y, run.first, run.last});
    patches[number].dark_px += run.last - run.first + 1;
  });
  return patches;
}

}  // namespace pivotfix
