// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "page/numbers.h"
#include "report/pictures.h"

namespace pivotfix::report {
namespace {

constexpr double picture_width = 440.0;
constexpr double part_half_width = 38.0;
// Arm, rod end and nut are not measured: sketched at a fixed size.
constexpr double arm_height = 38.0;
constexpr double rod_end_height = 42.0;
constexpr double nut_height = 24.0;
constexpr double margin = 10.0;
constexpr double heading_height = 26.0;
constexpr double label_gap = 15.0;

struct Part {
  double height = 0.0;  // view-box units
  std::string css_class{};
  std::string label{};
};

double thickness_of(const std::vector<Spacer>& spacers) {
  double sum_mm = 0.0;
  for (const Spacer& spacer : spacers) sum_mm += spacer.count * spacer.thickness_mm;
  return sum_mm;
}

std::string spacer_label(const Spacer& spacer, LengthUnit unit) {
  return spacer.label.empty() ? format_length(spacer.thickness_mm, unit, fine_decimals(unit)) : spacer.label;
}

void add_spacers(std::vector<Part>& parts, const std::vector<Spacer>& spacers, const char* css_class,
                 double scale, LengthUnit unit) {
  for (const Spacer& spacer : spacers)
    for (int i = 0; i < spacer.count; ++i)
      parts.push_back({scale * spacer.thickness_mm, css_class, spacer_label(spacer, unit)});
}

// From the steering arm outwards.
std::vector<Part> parts_of(const std::vector<Spacer>& between, const std::vector<Spacer>& other_side,
                           double scale, LengthUnit unit) {
  std::vector<Part> parts{{arm_height, "part-arm", "steering arm"}};
  add_spacers(parts, between, "part-spacer", scale, unit);
  parts.push_back({rod_end_height, "part-rod-end", "rod end"});
  add_spacers(parts, other_side, "part-other", scale, unit);
  parts.push_back({nut_height, "part-nut", "nut"});
  return parts;
}

double height_of(const std::vector<Part>& parts) {
  double sum = 0.0;
  for (const Part& part : parts) sum += part.height;
  return sum;
}

// Neighbouring labels that say the same become one: "2 x 0.060 in".
struct Label {
  double height = 0.0;
  std::string text{};
};

std::vector<Label> labels_of(const std::vector<Part>& parts, const std::vector<double>& middles) {
  std::vector<Label> labels;
  for (std::size_t i = 0; i < parts.size();) {
    std::size_t end = i + 1;
    while (end < parts.size() && parts[end].css_class == parts[i].css_class &&
           parts[end].label == parts[i].label)
      ++end;
    const std::string count = end - i > 1 ? std::to_string(end - i) + " \xC3\x97 " : "";
    labels.push_back({0.5 * (middles[i] + middles[end - 1]), count + parts[i].label});
    i = end;
  }
  return labels;
}

// On the page. `outwards` is +1 when the stack hangs below the arm (down the page), -1 when it stands on it.
double rod_end_page_y(const std::vector<Part>& parts, double arm_edge, double outwards) {
  double edge = arm_edge;
  for (const Part& part : parts) {
    if (part.css_class == "part-rod-end") return edge + outwards * 0.5 * part.height;
    edge += outwards * part.height;
  }
  return edge;
}

void draw_stack(Picture& picture, const std::vector<Part>& parts, double centre_x, double arm_edge,
                double outwards) {
  const double length = height_of(parts);
  const double top = outwards > 0 ? arm_edge : arm_edge - length;
  picture.rectangle(centre_x - 8, top - 6, 16, length + 12, "part-bolt", 2);
  double edge = arm_edge;
  std::vector<double> middles;
  for (const Part& part : parts) {
    const double next = edge + outwards * part.height;
    const bool narrow = part.css_class != "part-arm";
    const double half = narrow ? (part.css_class == "part-nut" ? 22.0 : 28.0) : part_half_width;
    picture.rectangle(centre_x - half, std::min(edge, next), 2 * half, part.height, part.css_class,
                      part.css_class == "part-rod-end" ? 8.0 : 0.0);
    middles.push_back(0.5 * (edge + next));
    edge = next;
  }
  picture.circle({centre_x, rod_end_page_y(parts, arm_edge, outwards)}, 15, "part-ball");
  const std::vector<Label> labels = labels_of(parts, middles);
  std::vector<double> wanted;
  for (const Label& label : labels) wanted.push_back(label.height);
  const std::vector<double> heights = spread(wanted, label_gap);
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const double label_x = centre_x + part_half_width + 18;
    picture.line({centre_x + 29, labels[i].height}, {label_x - 3, heights[i]}, "leader");
    picture.text({label_x, heights[i] + 4.5}, Anchor::start, labels[i].text);
  }
}

void draw_move(Picture& picture, double now_y, double after_y, double now_x, double after_x) {
  constexpr double beyond_label = part_half_width + 72.0;  // "rod end"
  picture.line({now_x + beyond_label, now_y}, {after_x - 46, now_y}, "level");
  if (std::abs(after_y - now_y) < 1.0) return;
  const double x = after_x - 52;
  picture.line({x - 6, after_y}, {after_x - 30, after_y}, "level");
  picture.arrow({x, now_y}, {x, after_y}, "move");
}

}  // namespace

Markup stack_picture(const ReportInput& input) {
  const bool has_plan = !input.advice.stacks.empty();
  const Plans plans = plans_of(input);
  const Stack& now = input.advice.stack_now;
  if (!has_plan && now.between.empty() && now.other_side.empty()) return {};
  double thickest_mm = std::max(thickness_of(now.between) + thickness_of(now.other_side), 1.0);
  for (const Plan& plan : plans.plans)
    thickest_mm =
        std::max(thickest_mm, thickness_of(plan.stack.between) + thickness_of(plan.stack.other_side));
  const double scale = std::clamp(170.0 / thickest_mm, 1.0, 7.0);
  const std::vector<Part> now_parts = parts_of(now.between, now.other_side, scale, input.unit);
  const auto parts_after = [&](const Plan& plan) {
    return parts_of(plan.stack.between, plan.stack.other_side, scale, input.unit);
  };

  const bool hangs = input.rod_end.mount == RodEndMount::below_arm;
  double tallest = height_of(now_parts);
  if (has_plan)
    for (const Plan& plan : plans.plans) tallest = std::max(tallest, height_of(parts_after(plan)));
  const double height = heading_height + tallest + 2 * margin + 12;
  const double top = heading_height + margin + 6;
  const double arm_edge = hangs ? top : top + tallest;
  const double outwards = hangs ? 1.0 : -1.0;

  const std::string description =
      std::string("From top to bottom, ") +
      (hangs ? "steering arm, spacers, rod end, spacers on the other side, nut."
             : "nut, spacers on the other side, rod end, spacers, steering arm.") +
      (has_plan ? " Left now, right " + plans.plans[plans.suggested].name + ": the rod end " +
                      move_words(plans.plans[plans.suggested].height_change_mm, 0.0, input.unit) + "."
                : " As it is now.");
  Picture picture("stack", picture_width, height, "Stack of spacers at the rod end", description);
  const double now_x = has_plan ? 60.0 : 150.0;
  const double after_x = 295.0;
  picture.text({now_x, 16}, Anchor::middle, "now", "heading");
  if (has_plan) {
    picture.text({after_x, 16}, Anchor::middle, "after", "heading");
    in_each_plan(picture, plans, [&](const Plan& plan) {
      const std::vector<Part> parts = parts_after(plan);
      // Under the parts and their labels.
      draw_move(picture, rod_end_page_y(now_parts, arm_edge, outwards),
                rod_end_page_y(parts, arm_edge, outwards), now_x, after_x);
      draw_stack(picture, parts, after_x, arm_edge, outwards);
    });
  }
  draw_stack(picture, now_parts, now_x, arm_edge, outwards);
  return picture.markup();
}

}  // namespace pivotfix::report
