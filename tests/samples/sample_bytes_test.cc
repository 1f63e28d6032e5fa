// SPDX-License-Identifier: Apache-2.0
// The sample job through the command line: the same input gives the same bytes, on one thread and on two,
// from photos and from what was kept of them, by the program as built and as installed from its Debian
// package; and the result names all that it was made from.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/checksum.h"
#include "cli/run_program.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

class Sample : public testing::Test {
 protected:
  void SetUp() override {
    fs::copy(fs::path(PIVOTFIX_SOURCE_DIR) / "samples/club-car/photos", workshop_.folder() / "photos");
    fs::copy(fs::path(PIVOTFIX_SOURCE_DIR) / "samples/club-car/job.toml", workshop_.folder());
  }

  // What a shell command in the workshop prints.
  std::string shell(const std::string& command) const {
    const fs::path out = workshop_.folder() / "shell.tmp";
    const int status = std::system(
        ("cd '" + workshop_.folder().string() + "' && ( " + command + " ) > shell.tmp 2>&1").c_str());
    std::ostringstream text;
    text << std::ifstream(out).rdbuf();
    fs::remove(out);
    EXPECT_EQ(status, 0) << command << "\n" << text.str();
    return text.str();
  }

  void run(const std::vector<std::string>& more) const {
    std::vector<std::string> arguments{"run", "job.toml"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const Outcome outcome = workshop_.run(arguments);
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  }

  void expect_same(const std::string& one, const std::string& other) const {
    for (const char* file : {"hardpoints.json", "hardpoints.csv", "report.html"}) {
      EXPECT_GT(workshop_.read(one + "/" + file).size(), 100U);
      EXPECT_TRUE(workshop_.read(one + "/" + file) == workshop_.read(other + "/" + file))
          << other << "/" << file;
    }
  }

  // All that decides the result, by name, with the checksum of its bytes.
  void expect_record(const std::string& file) const {
    const auto json = nlohmann::json::parse(workshop_.read(file));
    EXPECT_EQ(json["program"], PIVOTFIX_VERSION);
    std::vector<std::string> wanted{"job.toml"};
    for (const auto& photo : fs::directory_iterator(workshop_.folder() / "photos"))
      wanted.push_back("photos/" + photo.path().filename().string());
    std::sort(wanted.begin() + 1, wanted.end());
    std::vector<std::string> named;
    for (const auto& input : json["record"]["files"]) {
      named.push_back(input["name"]);
      EXPECT_EQ(input["checksum"], xxh64(workshop_.read(named.back()))) << named.back();
    }
    EXPECT_EQ(named, wanted);
  }

  Workshop workshop_{};
};

TEST_F(Sample, GivesTheSameBytesOnOneThreadOnTwoFromTheCacheAndFromTheInstalledPackage) {
  run({"-o", "one", "--threads", "1"});  // fills the cache
  expect_record("one/hardpoints.json");
  run({"-o", "kept", "--threads", "2"});
  expect_same("one", "kept");

  shell(std::string("'") + CPACK + "' -G DEB --config '" + PIVOTFIX_BINARY_DIR + "/CPackConfig.cmake' -B .");
  shell("dpkg-deb -x pivotfix_*.deb root");
  shell("root/usr/bin/pivotfix run job.toml -o installed --threads 2 --no-cache");
  expect_same("one", "installed");

  EXPECT_EQ(shell("root/usr/bin/pivotfix --version"), "pivotfix " PIVOTFIX_VERSION "\n");
  for (const char* file : {"share/man/man1/pivotfix.1.gz", "share/bash-completion/completions/pivotfix",
                           "share/doc/pivotfix/copyright", "share/doc/pivotfix/docs/reference.md",
                           "share/doc/pivotfix/docs/hardpoints.schema.json"})
    EXPECT_TRUE(workshop_.has(std::string("root/usr/") + file)) << file;
  // What a clean Debian installs along, as dpkg-shlibdeps found it: libraries, nothing to build with.
  const std::string depends = shell("dpkg-deb -f pivotfix_*.deb Depends");
  for (const char* library : {"libc6", "libheif1", "libturbojpeg0", "libcairo2", "libexif12", "libpng16"})
    EXPECT_NE(depends.find(library), std::string::npos) << library << " in " << depends;
  EXPECT_EQ(depends.find("-dev"), std::string::npos) << depends;
}

}  // namespace
}  // namespace pivotfix
