// SPDX-License-Identifier: Apache-2.0
#include "report/report.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

#include "made_up_report.h"

namespace pivotfix {
namespace {

// For looking at: PIVOTFIX_WRITE_REPORTS=folder writes the made-up pages there.
void write_for_the_eye(const std::string& name, const std::string& content) {
  if (const char* folder = std::getenv("PIVOTFIX_WRITE_REPORTS"))
    std::ofstream(std::string(folder) + "/" + name) << content;
}

TEST(ReportHtml, StartsAsHtml) {
  const std::string page = report_html(made_up_strut_report());
  write_for_the_eye("strut.html", page);
  write_for_the_eye("strut.txt", steer_text(made_up_strut_report()));
  write_for_the_eye("locate.txt", locate_text(made_up_strut_report().hardpoints,
                                              *made_up_strut_report().network, LengthUnit::millimetre));
  EXPECT_TRUE(page.starts_with("<!DOCTYPE html>\n<html lang=\"en\">"));
  const std::string right = report_html(made_up_double_wishbone_report());
  write_for_the_eye("wishbone.html", right);
  write_for_the_eye("wishbone.txt", steer_text(made_up_double_wishbone_report()));
}

}  // namespace
}  // namespace pivotfix
