// SPDX-License-Identifier: Apache-2.0
#include "page/cautions.h"

namespace pivotfix::report {

const std::vector<std::string>& cautions() {
  static const std::vector<std::string> texts = {
      "Work with the car on axle stands on firm, level ground and the wheels off. Never get under or "
      "lean on a car that stands on a jack only.",
      "A spring is under load even with the wheel hanging: take it out with a spring compressor only. A jack "
      "under a hub with its spring in place lifts the car off its stands.",
      "Steering parts are safety-critical. Fastener torques, the seating of tapers, whether a locknut "
      "may be used again and how much thread must be engaged: follow the instructions of the part and "
      "of the vehicle. Check that the rod end can still tilt freely over the whole travel and from lock "
      "to lock.",
      "Moving the rod end changes toe. Have toe set and the whole work checked by a qualified person "
      "before the car is driven.",
      "Local rules on modified steering apply. This report advises; it does not certify anything.",
      "It knows geometry only: no give in bushes, no play, no bent or worn joints. Worn parts are "
      "replaced first, then measured again."};
  return texts;
}

Markup cautions_section() {
  return element("section", element("h2", "Cautions") + bullets(cautions()));
}

}  // namespace pivotfix::report
