// SPDX-License-Identifier: Apache-2.0
// Hardpoints as a spreadsheet: quoting after RFC 4180; what spreadsheets of other countries save (semicolons,
// decimal commas, a byte order mark) is read as well.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "base/problem.h"
#include "base/suggestion.h"
#include "base/units.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {
namespace {

using Row = std::vector<std::string>;

std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

std::string trimmed(const std::string& text) {
  const std::size_t first = text.find_first_not_of(" \t\r");
  if (first == std::string::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

// The character that the heading, which has no decimals, uses most.
char separator_of(const std::string& text) {
  const std::string heading = text.substr(0, text.find('\n'));
  char best = ',';
  for (const char c : {';', '\t'})
    if (std::count(heading.begin(), heading.end(), c) > std::count(heading.begin(), heading.end(), best))
      best = c;
  return best;
}

struct NumberedRow {
  Row fields{};
  int line = 0;
};

// Quoted fields may hold separators, line ends and doubled quotes.
std::vector<NumberedRow> rows_of(const std::string& text, char separator, const std::string& file) {
  std::vector<NumberedRow> rows;
  NumberedRow row{{}, 1};
  std::string field;
  int line = 1;
  bool quoted = false;
  bool begun = false;  // the field has more than blanks, so that a quote in it is a character
  const auto end_field = [&] {
    row.fields.push_back(trimmed(field));
    field.clear();
    begun = false;
  };
  const auto end_row = [&] {
    end_field();
    const bool blank =
        std::all_of(row.fields.begin(), row.fields.end(), [](const std::string& one) { return one.empty(); });
    if (!blank) rows.push_back(std::move(row));
    row = {{}, line};
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') ++line;
    if (quoted) {
      if (c != '"')
        field += c;
      else if (i + 1 < text.size() && text[i + 1] == '"')
        field += text[++i];
      else
        quoted = false;
    } else if (c == '"' && !begun) {
      quoted = begun = true;
      field.clear();
    } else if (c == separator) {
      end_field();
    } else if (c == '\n') {
      end_row();
    } else {
      field += c;
      begun = begun || (c != ' ' && c != '\t' && c != '\r');
    }
  }
  if (quoted)
    throw Problem(ProblemKind::input, "A quote is opened and never closed.", "Close it.", {file, row.line});
  end_row();
  return rows;
}

struct CsvReader {
  const std::string& file;
  bool decimal_comma = false;
  LengthUnit unit = LengthUnit::millimetre;
  std::map<std::string, std::size_t> columns{};

  [[noreturn]] void refuse(int line, const std::string& what, const std::string& remedy) const {
    throw Problem(ProblemKind::input, what, remedy, {file, line});
  }

  void read_heading(const NumberedRow& heading);

  // Empty where the row is too short or has no such column.
  std::string field(const NumberedRow& row, const std::string& column) const {
    const auto found = columns.find(column);
    return found == columns.end() || found->second >= row.fields.size() ? "" : row.fields[found->second];
  }

  double length_mm(const NumberedRow& row, const std::string& column) const {
    std::string text = field(row, column);
    if (decimal_comma) std::replace(text.begin(), text.end(), ',', '.');
    if (text.empty())
      refuse(row.line, "The " + column + " of '" + row.fields.front() + "' is missing.", "Fill it in.");
    try {
      const double length = parse_length_mm(text, unit);
      if (std::abs(length) <= 1e5) return length;
    } catch (const Problem& problem) {
      refuse(row.line, column + ": " + problem.what_happened(), problem.remedy());
    }
    refuse(row.line, column + " of '" + row.fields.front() + "' is longer than any car.", "Correct it.");
  }
};

// "x_mm", "sigma_x_in": all lengths carry the same unit.
void CsvReader::read_heading(const NumberedRow& heading) {
  const auto ends = [&](const std::string& unit_name) {
    return std::any_of(heading.fields.begin(), heading.fields.end(),
                       [&](const std::string& head) { return head == "x" + unit_name; });
  };
  if (!ends("_mm") && !ends("_in"))
    refuse(
        heading.line, "The first line does not name the columns.",
        "It must read: name,x_mm,y_mm,z_mm,sigma_x_mm,sigma_y_mm,sigma_z_mm,way (or _in for inches; sigmas "
        "and way may be left out).");
  const std::string suffix = ends("_in") ? "_in" : "_mm";
  unit = ends("_in") ? LengthUnit::inch : LengthUnit::millimetre;
  const std::set<std::string> lengths{"x", "y", "z", "sigma_x", "sigma_y", "sigma_z"};
  for (std::size_t i = 0; i < heading.fields.size(); ++i) {
    std::string head = heading.fields[i];
    if (head.ends_with(suffix)) head.resize(head.size() - suffix.size());
    const bool length = lengths.contains(head) && head != heading.fields[i];
    if (!length && head != "name" && head != "way") continue;  // the user's own column
    if (!columns.emplace(head, i).second)
      refuse(heading.line, "The column '" + heading.fields[i] + "' is there twice.", "Keep one of them.");
  }
  for (const char* needed : {"name", "x", "y", "z"})
    if (!columns.contains(needed))
      refuse(heading.line, "There is no column '" + std::string(needed) + "' or it has another unit.",
             "The first line must name name, x" + suffix + ", y" + suffix + " and z" + suffix + ".");
}

// "1,234" is a fraction in one country and a thousand in another: with points elsewhere in the file nobody
// can tell.
void check_decimal_marks(const CsvReader& reader, const std::vector<NumberedRow>& rows) {
  bool comma = false, point = false;
  for (std::size_t i = 1; i < rows.size(); ++i)
    for (const auto& [name, index] : reader.columns) {
      if (name == "name" || name == "way") continue;
      const std::string number = reader.field(rows[i], name);
      comma = comma || number.find(',') != std::string::npos;
      point = point || number.find('.') != std::string::npos;
      if (comma && point)
        reader.refuse(rows[i].line, "Some numbers have a point and others a comma.",
                      "Write all of them with points.");
    }
}

// Decimal commas between fields that commas separate: all numbers would be read from the wrong column.
void check_lengths(const CsvReader& reader, const std::vector<NumberedRow>& rows) {
  const std::size_t columns = rows.front().fields.size();
  for (const NumberedRow& row : rows) {
    const auto beyond =
        row.fields.begin() + static_cast<std::ptrdiff_t>(std::min(columns, row.fields.size()));
    if (std::any_of(beyond, row.fields.end(), [](const std::string& field) { return !field.empty(); }))
      reader.refuse(row.line,
                    "This line has " + std::to_string(row.fields.size()) + " fields, the first line names " +
                        std::to_string(columns) + ".",
                    "Where numbers have decimal commas, separate the fields with semicolons.");
  }
}

// A name that no layout has is a slip; it is told before the layout is guessed.
void check_spelling(const std::vector<Hardpoint>& points, const std::vector<NumberedRow>& rows,
                    const CsvReader& reader) {
  std::set<std::string> known;
  for (const Layout layout : all_layouts())
    known.insert(hardpoint_names(layout).begin(), hardpoint_names(layout).end());
  for (std::size_t i = 0; i < points.size(); ++i)
    if (!known.contains(points[i].name))
      reader.refuse(rows[i + 1].line, "'" + points[i].name + "' is no hardpoint of any layout.",
                    suggestion(points[i].name, {known.begin(), known.end()}));
}

// The first layout that has all these names; of two that have the same points, the one without a spring on
// the upper arm, which moves in the same way.
Layout layout_of(const std::vector<Hardpoint>& points, const std::string& file) {
  for (const Layout layout : all_layouts()) {
    const std::vector<std::string>& names = hardpoint_names(layout);
    if (std::all_of(points.begin(), points.end(), [&](const Hardpoint& point) {
          return std::find(names.begin(), names.end(), point.name) != names.end();
        }))
      return layout;
  }
  throw Problem(ProblemKind::input, "These names belong to no layout together.",
                "The names of each layout are in docs/hardpoint-file.md; or say --layout.", {file});
}

void check_names(const HardpointSet& set, const std::vector<NumberedRow>& rows, const CsvReader& reader) {
  const std::vector<std::string>& known = hardpoint_names(set.layout);
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    const std::string& name = set.points[i].name;
    if (std::find(known.begin(), known.end(), name) == known.end())
      reader.refuse(rows[i + 1].line,
                    "'" + name + "' is no hardpoint of a " + std::string(name_of(set.layout)) + " corner.",
                    "The names of each layout are in docs/hardpoint-file.md.");
    for (std::size_t k = 0; k < i; ++k)
      if (set.points[k].name == name)
        reader.refuse(rows[i + 1].line, "'" + name + "' is given twice.", "Keep one of them.");
  }
}

// The mean side, as one point near the middle may lie beyond it.
Side side_of(const std::vector<Hardpoint>& points) {
  double sum_mm = 0.0;
  for (const Hardpoint& point : points) sum_mm += point.position_vehicle_mm.y();
  return sum_mm < 0.0 ? Side::right : Side::left;
}

// What the user says counts, unless no point at all lies there.
void check_side(const HardpointSet& set, const std::string& file) {
  const double sign = set.side == Side::left ? 1.0 : -1.0;
  if (std::none_of(set.points.begin(), set.points.end(),
                   [&](const Hardpoint& point) { return sign * point.position_vehicle_mm.y() >= 0.0; }))
    throw Problem(ProblemKind::input,
                  "No point lies on the " + std::string(name_of(set.side)) + " of the car: y is " +
                      (sign > 0.0 ? "negative" : "positive") + " everywhere.",
                  "y is positive on the left. Correct the file or the side.", {file});
}

}  // namespace

std::string hardpoints_to_csv(const HardpointSet& set) {
  std::string csv = "name,x_mm,y_mm,z_mm,sigma_x_mm,sigma_y_mm,sigma_z_mm,way\n";
  const bool uncertain = set.covariance_mm2.size() > 0;
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    const Hardpoint& point = set.points[i];
    csv += csv_field(point.name);
    for (int c = 0; c < 3; ++c) csv += "," + format_fixed(point.position_vehicle_mm[c], 4);
    for (int c = 0; c < 3; ++c) csv += "," + (uncertain ? format_fixed(sigma_mm(set, i, c), 4) : "");
    csv += "," + csv_field(point.way) + "\n";
  }
  return csv;
}

HardpointSet hardpoints_from_csv(const std::string& whole_text, const std::string& file,
                                 const CsvHints& hints) {
  const std::string text = whole_text.starts_with("\xEF\xBB\xBF") ? whole_text.substr(3) : whole_text;
  const char separator = separator_of(text);
  const std::vector<NumberedRow> rows = rows_of(text, separator, file);
  if (rows.size() < 2)
    throw Problem(ProblemKind::input, "There are no hardpoints in it.", "Fill it in.", {file});
  CsvReader reader{file, separator != ','};
  reader.read_heading(rows.front());
  check_lengths(reader, rows);
  check_decimal_marks(reader, rows);
  HardpointSet set;
  std::vector<double> sigmas_mm;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    Hardpoint point{reader.field(rows[i], "name")};
    for (int c = 0; c < 3; ++c)
      point.position_vehicle_mm[c] = reader.length_mm(rows[i], std::string(1, "xyz"[c]));
    point.way = reader.field(rows[i], "way");
    set.points.push_back(point);
    if (!reader.field(rows[i], "sigma_x").empty())
      for (const char* name : {"sigma_x", "sigma_y", "sigma_z"}) {
        sigmas_mm.push_back(reader.length_mm(rows[i], name));
        if (sigmas_mm.back() < 0.0) reader.refuse(rows[i].line, "A sigma is negative.", "Correct it.");
      }
    if (!sigmas_mm.empty() && sigmas_mm.size() != 3 * set.points.size())
      reader.refuse(rows[i].line, "Some hardpoints have a sigma and others have none.",
                    "Give every hardpoint its sigma, or none.");
  }
  check_spelling(set.points, rows, reader);
  set.layout = hints.layout ? *hints.layout : layout_of(set.points, file);
  set.side = hints.side ? *hints.side : side_of(set.points);
  check_side(set, file);
  check_names(set, rows, reader);
  if (!sigmas_mm.empty())
    set.covariance_mm2 = Eigen::VectorXd::Map(sigmas_mm.data(), static_cast<Eigen::Index>(sigmas_mm.size()))
                             .cwiseAbs2()
                             .asDiagonal();
  return set;
}

}  // namespace pivotfix
