// SPDX-License-Identifier: Apache-2.0
// The parts of the hardpoint file that say where it comes from and which tags stay on the body.
#include <charconv>
#include <cmath>
#include <set>
#include <string_view>

#include "hardpoints/hardpoint_json_fields.h"

namespace pivotfix {
namespace {

double rounded_mm(double value) {
  const double result = std::round(value * 1e6) / 1e6;
  return result == 0.0 ? 0.0 : result;  // no "-0.0"
}

std::vector<std::string> texts_from(Fields& fields, const std::string& name) {
  std::vector<std::string> texts;
  const Json list = fields.take(name);
  if (!list.is_array()) fields.refuse_value(name, "must be a list of texts");
  for (const Json& item : list) {
    if (!item.is_string()) fields.refuse_value(name, "must be a list of texts");
    texts.push_back(item.get<std::string>());
  }
  return texts;
}

std::vector<InputFile> files_from(Fields& record) {
  std::vector<InputFile> files;
  const Json list = record.take("files");
  if (!list.is_array()) record.refuse_value("files", "must be a list of objects with name and checksum");
  for (const Json& item : list) {
    Fields fields(item, record.path_to("files"), record.source());
    files.push_back({fields.text("name"), fields.text("checksum")});
    if (!fields.left().empty()) fields.refuse_value(fields.left().begin().key(), "is no field of a file");
  }
  return files;
}

std::vector<int> tag_numbers_from(Fields& fields) {
  std::vector<int> numbers;
  std::set<int> seen;
  const Json list = fields.take("numbers");
  if (!list.is_array()) fields.refuse_value("numbers", "must be a list of tag numbers");
  for (const Json& item : list) {
    const double number = fields.number_from(item, "numbers");
    if (number != std::floor(number) || number < 0.0 || number > 586.0 ||
        !seen.insert(static_cast<int>(number)).second)
      fields.refuse_value("numbers", "must be tag numbers from 0 to 586, each once");
    numbers.push_back(static_cast<int>(number));
  }
  return numbers;
}

// Positive only together with the hardpoints' own covariance, which it continues.
void check_joint_covariance(const Fields& fields, const HardpointSet& set) {
  const Eigen::Index points = set.covariance_mm2.rows(), tags = set.body_tags.covariance_mm2.rows();
  if (points == 0) fields.refuse_value("mm2", "needs the uncertainties of the hardpoints as well");
  Eigen::MatrixXd joint(points + tags, points + tags);
  joint.topLeftCorner(points, points) = set.covariance_mm2;
  joint.bottomRows(tags) = set.body_tags.covariance_mm2;
  joint.topRightCorner(points, tags) = set.body_tags.covariance_mm2.leftCols(points).transpose();
  if (!is_covariance(joint))
    fields.refuse_value("mm2", "is no covariance: it must be symmetric without negative eigenvalues");
}

// The number that these digits write; -1 when they are none.
int number_of(std::string_view digits) {
  int value = 0;
  const auto end = digits.data() + digits.size();
  const auto [stopped, error] = std::from_chars(digits.data(), end, value);
  return error == std::errc{} && stopped == end ? value : -1;
}

}  // namespace

bool is_day(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  const std::string_view day(text);
  const int month = number_of(day.substr(5, 2)), day_of_month = number_of(day.substr(8));
  return number_of(day.substr(0, 4)) > 0 && month >= 1 && month <= 12 && day_of_month >= 1 &&
         day_of_month <= 31;
}

Json json_from(const Record& record) {
  Json json = Json::object();
  const auto add = [&](const char* name, const std::string& text) {
    if (!text.empty()) json[name] = text;
  };
  add("car", record.car);
  add("date", record.date);
  add("who", record.who);
  add("method", record.method);
  if (!record.options.empty()) json["options"] = record.options;
  if (!record.files.empty()) json["files"] = Json::array();
  for (const InputFile& file : record.files)
    json["files"].push_back({{"name", file.name}, {"checksum", file.checksum}});
  return json;
}

Json json_from(const BodyTags& tags) {
  Json json = {{"numbers", tags.numbers}, {"positions", Json::array()}};
  for (const Eigen::Vector3d& centre : tags.centres_vehicle_mm)
    json["positions"].push_back({rounded_mm(centre.x()), rounded_mm(centre.y()), rounded_mm(centre.z())});
  if (tags.covariance_mm2.size() > 0) json["mm2"] = json_rows(tags.covariance_mm2);
  return json;
}

void read_record(Fields& file, HardpointSet& set) {
  if (!file.has("record")) return;
  Fields fields(file.take("record"), {"record"}, file.source());
  Record& record = set.record;
  const auto read = [&](const char* name, std::string& text) {
    if (fields.has(name)) text = fields.text(name);
  };
  read("car", record.car);
  read("date", record.date);
  read("who", record.who);
  read("method", record.method);
  if (fields.has("options")) record.options = texts_from(fields, "options");
  if (fields.has("files")) record.files = files_from(fields);
  file.keep("record", fields.unknown());
}

void read_body_tags(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("body_tags")) return;
  Fields fields(file.take("body_tags"), {"body_tags"}, file.source());
  BodyTags& tags = set.body_tags;
  tags.numbers = tag_numbers_from(fields);
  const Json positions = fields.take("positions");
  if (!positions.is_array() || positions.size() != tags.numbers.size())
    fields.refuse_value("positions", "must have three lengths for every tag number");
  for (const Json& position : positions) {
    if (!position.is_array() || position.size() != 3)
      fields.refuse_value("positions", "must have three lengths for every tag number");
    Eigen::Vector3d centre;
    for (std::size_t c = 0; c < 3; ++c)
      centre[static_cast<Eigen::Index>(c)] = fields.length_from(position[c], "positions", unit);
    tags.centres_vehicle_mm.push_back(centre);
  }
  if (fields.has("mm2")) {
    const std::size_t rows = 3 * tags.numbers.size();
    tags.covariance_mm2 = rows_from(fields.take("mm2"), rows, 3 * set.points.size() + rows, fields, "mm2");
    check_joint_covariance(fields, set);
  }
  file.keep("body_tags", fields.unknown());
}

}  // namespace pivotfix
