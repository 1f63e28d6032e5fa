// SPDX-License-Identifier: Apache-2.0
#include "report/figures_section.h"

#include <algorithm>

#include "page/each_unit.h"
#include "report/figure_tables.h"
#include "report/sections.h"

namespace pivotfix::report {
namespace {

Markup markup_of(const FigureTable& from) {
  std::vector<Column> columns;
  for (const std::string& head : from.heads)
    columns.push_back({head, from.numbers ? ColumnKind::number : ColumnKind::text});
  Rows rows = from.rows;
  if (!from.numbers)
    for (auto& row : rows)
      for (std::string& cell : row) cell = with_minus(cell);
  return rows.empty() ? Markup() : table(from.caption, columns, rows);
}

std::vector<FigureTable> tables_of(const ReportInput& input) {
  return figure_tables(*input.figures, input.hardpoints.wheel, input.unit);
}

}  // namespace

Markup figures_section(const ReportInput& input) {
  if (!input.figures) return {};
  Markup section = element("h2", "How the wheel moves, all figures");
  section += in_each_unit(input, [](const ReportInput& shown) {
    const std::vector<FigureTable> tables = tables_of(shown);
    return tables.empty() ? Markup() : markup_of(tables.front());
  });
  section +=
      figure("Over wheel travel", figures_picture(*input.figures),
             caption("With the spacers as they are now. Travel upwards in every picture; the numbers are "
                     "in the tables below."));
  section += in_each_unit(input, [](const ReportInput& shown) {
    Markup others;
    const std::vector<FigureTable> tables = tables_of(shown);
    for (std::size_t i = 1; i < tables.size(); ++i) others += markup_of(tables[i]);
    return others;
  });
  // Too much for four pages of paper.
  return element("section", {{"class", "screen-only"}},
                 section + bullets_in_each_unit(figure_notes(*input.figures, input.hardpoints.wheel)));
}

}  // namespace pivotfix::report
