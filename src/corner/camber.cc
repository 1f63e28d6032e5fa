// SPDX-License-Identifier: Apache-2.0
#include "corner/camber.h"

namespace pivotfix {

double camber_sigma_rad(const WheelSetting& wheel) {
  return wheel.camber_is_known ? wheel.camber_sigma_rad : assumed_camber_sigma_rad;
}

Corner with_camber_changed(const Corner& corner, double by_rad) {
  Corner changed = corner;
  changed.covariance_mm2.resize(0, 0);
  changed.wheel.camber_rad += by_rad;
  return changed;
}

}  // namespace pivotfix
