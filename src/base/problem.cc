// SPDX-License-Identifier: Apache-2.0
#include "base/problem.h"

#include <utility>

namespace pivotfix {

namespace {

std::string compose_message(const std::string& what_happened, const std::string& remedy, const Place& place) {
  std::string message = place.file;
  if (place.line > 0) message += ":" + std::to_string(place.line);
  if (place.line > 0 && place.column > 0) message += ":" + std::to_string(place.column);
  if (!message.empty()) message += ": ";
  message += what_happened;
  if (!remedy.empty()) message += " " + remedy;
  return message;
}

}  // namespace

Problem::Problem(ProblemKind kind, std::string what_happened, std::string remedy, Place place)
    : kind_(kind),
      what_happened_(std::move(what_happened)),
      remedy_(std::move(remedy)),
      place_(std::move(place)),
      message_(compose_message(what_happened_, remedy_, place_)) {}

}  // namespace pivotfix
