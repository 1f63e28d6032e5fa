// SPDX-License-Identifier: Apache-2.0
#include "tags/dark_patches.h"

#include <algorithm>

#include "tags/dark_rows.h"
#include "tags/local_threshold.h"

namespace pivotfix {
namespace {

struct LabelledRun {
  Run run{};
  int label = 0;
};

// What is known of the runs with one label. A label whose parent is another is part of that one's patch.
struct Label {
  int parent = 0;
  int left = 0;
  int right = 0;
  int top = 0;
  int bottom = 0;
  int dark_px = 0;
  int runs = 0;
};

// Runs of all rows, joined into patches by union and find.
class PatchForest {
 public:
  PatchForest(const GreyLevel& level, const LocalThreshold& threshold);

  int root_of(int label) {
    while (labels_[label].parent != label) {
      labels_[label].parent = labels_[labels_[label].parent].parent;
      label = labels_[label].parent;
    }
    return label;
  }
  const std::vector<Label>& labels() const { return labels_; }
  const std::vector<LabelledRun>& runs() const { return runs_; }

 private:
  void add(const Run& run, std::size_t& above, std::size_t above_end);
  int join(int a, int b);

  std::vector<LabelledRun> runs_{};
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
  kept.dark_px += given.dark_px;
  kept.runs += given.runs;
  return a;
}

// `above`: the first run of the row above that may still touch.
void PatchForest::add(const Run& run, std::size_t& above, std::size_t above_end) {
  while (above < above_end && runs_[above].run.last < run.first - 1) ++above;
  int label = -1;
  for (std::size_t k = above; k < above_end && runs_[k].run.first <= run.last + 1; ++k) {
    const int root = root_of(runs_[k].label);
    label = label < 0 ? root : join(label, root);
  }
  if (label < 0) {
    label = static_cast<int>(labels_.size());
    labels_.push_back({label, run.first, run.last, run.y, run.y, 0, 0});
  }
  Label& own = labels_[label];
  own.left = std::min(own.left, run.first);
  own.right = std::max(own.right, run.last);
  own.bottom = run.y;
  own.dark_px += run.last - run.first + 1;
  ++own.runs;
  runs_.push_back({run, label});
}

PatchForest::PatchForest(const GreyLevel& level, const LocalThreshold& threshold) {
  DarkRows rows(level, threshold);
  std::size_t above = 0;
  for (int y = 0; y < level.height_px; ++y) {
    const std::size_t here = runs_.size();
    rows.for_each_stretch(y, [&](int first, int last) { add({y, first, last}, above, here); });
    above = here;
  }
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

std::vector<PixelPlace> DarkPatch::row_ends() const {
  std::vector<PixelPlace> ends;
  ends.reserve(2 * static_cast<std::size_t>(runs.back().y - runs.front().y + 1));
  for (const Run& run : runs) {
    if (!ends.empty() && ends.back().y == run.y) {
      ends.back().x = run.last;
    } else {
      ends.push_back({run.first, run.y});
      ends.push_back({run.last, run.y});
    }
  }
  return ends;
}

std::vector<PixelPlace> DarkPatch::column_ends() const {
  const std::size_t columns = static_cast<std::size_t>(right - left + 1);
  std::vector<int> top(columns), bottom(columns);
  for (const Run& run : runs)
    std::fill(bottom.begin() + (run.first - left), bottom.begin() + (run.last - left + 1), run.y);
  for (auto run = runs.rbegin(); run != runs.rend(); ++run)
    std::fill(top.begin() + (run->first - left), top.begin() + (run->last - left + 1), run->y);
  std::vector<PixelPlace> ends;
  ends.reserve(2 * columns);
  for (std::size_t c = 0; c < columns; ++c) {
    ends.push_back({left + static_cast<int>(c), top[c]});
    ends.push_back({left + static_cast<int>(c), bottom[c]});
  }
  return ends;
}

std::vector<DarkPatch> find_dark_patches(const GreyLevel& level, const PatchWish& wish,
                                         const std::vector<TagCorners>& known_tags) {
  LocalThreshold threshold(level);
  for (const TagCorners& tag : known_tags) threshold.clear_inside(tag);
  PatchForest forest(level, threshold);
  // Only patches that may be a tag are looked at further; they get numbers in the order of their first pixel.
  std::vector<int> number_of_label(forest.labels().size(), -1);
  std::vector<DarkPatch> patches;
  for (std::size_t i = 0; i < forest.labels().size(); ++i) {
    const Label& label = forest.labels()[i];
    const int root = forest.root_of(static_cast<int>(i));
    if (root != static_cast<int>(i)) {
      number_of_label[i] = number_of_label[root];  // a root comes before what was joined to it
      continue;
    }
    if (!is_wanted(label, wish)) continue;
    number_of_label[i] = static_cast<int>(patches.size());
    DarkPatch& patch = patches.emplace_back();
    patch.runs.reserve(static_cast<std::size_t>(label.runs));
    patch.left = label.left;
    patch.right = label.right;
    patch.dark_px = label.dark_px;
  }
  for (const LabelledRun& labelled : forest.runs()) {
    const int number = number_of_label[labelled.label];
    if (number >= 0) patches[number].runs.push_back(labelled.run);
  }
  return patches;
}

}  // namespace pivotfix
