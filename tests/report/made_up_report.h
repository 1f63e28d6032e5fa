// SPDX-License-Identifier: Apache-2.0
// Made-up input for reports: no real car, numbers chosen by hand to look like a lowered strut corner.
#pragma once

#include "report/report.h"

namespace pivotfix {

ReportInput made_up_strut_report();            // left, millimetres, a chosen stack, a network
ReportInput made_up_double_wishbone_report();  // right, inches, no spacers, no network, no uncertainties

// Toe change = slope * travel + bend * travel^2 over +-40 mm, in steps of 2 mm.
ToeCurve made_up_curve(const std::string& title, double slope_deg_mm, double bend_deg_mm2,
                       double sigma_deg_mm);

}  // namespace pivotfix
