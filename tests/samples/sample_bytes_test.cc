// SPDX-License-Identifier: Apache-2.0
// The sample job through the command line: the same input gives the same bytes, on one thread and on two,
// from photos and from what was kept of them, by the program as built and as installed from its Debian
// package; and the result names all that it was made from. With what is then kept of the photos, the commands
// that need them too are run as well.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/checksum.h"
#include "cli/run_program.h"
#include "lens/lens_file.h"
#include "photos/photos.h"

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

  // Of the made-up known lengths, all of which the photos show.
  void expect_acceptance() const {
    fs::copy(fs::path(PIVOTFIX_SOURCE_DIR) / "samples/club-car/known-lengths.toml", workshop_.folder());
    const auto accepted = [&](const std::vector<std::string>& more) {
      std::vector<std::string> arguments{"accept", "job.toml", "--lengths", "known-lengths.toml"};
      arguments.insert(arguments.end(), more.begin(), more.end());
      const Outcome outcome = workshop_.run(arguments);
      EXPECT_EQ(outcome.exit_code, outcome.out.starts_with("Passed: ") ? 0 : 4) << outcome.err;
      return outcome.out;
    };
    const std::string passed = accepted({"--table", "lengths.csv"});
    EXPECT_TRUE(passed.starts_with("Passed: the largest of 14 length errors is ")) << passed;
    const std::string table = workshop_.read("lengths.csv");
    EXPECT_TRUE(table.starts_with("from_tag,to_tag,known_mm,")) << table;
    EXPECT_NE(table.find("\n1,6,269.2580,0.0100,269."), std::string::npos) << table;
    EXPECT_EQ(std::count(table.begin(), table.end(), '\n'), 1 + 14) << table;
    EXPECT_TRUE(accepted({"--limit", "0.0001 mm"}).starts_with("NOT passed: "));
    EXPECT_TRUE(accepted({"--limit", "0.0001 mm", "--per-metre", "1 mm"}).starts_with("Passed: "));
    EXPECT_EQ(
        workshop_.run({"accept", "job.toml", "--lengths", "known-lengths.toml", "--table", "lengths.csv"})
            .exit_code,
        2)
        << "a table that is there is not replaced";
  }

  // Its 32 photos are better than what was measured by hand.
  void expect_shots() const {
    const Outcome shots = workshop_.run({"shots", "job.toml"});
    EXPECT_EQ(shots.exit_code, 0) << shots.err;
    EXPECT_TRUE(shots.out.starts_with("The best height of the rod end is known to ± 0.")) << shots.out;
    EXPECT_NE(shots.out.find("More photos would not"), std::string::npos) << shots.out;
    EXPECT_NE(shots.out.find("\nWhat is weak now\n  - Weakest pivot: "), std::string::npos) << shots.out;
  }

  // A calibration that found the scene's lens: Brown's parameters, and the middle of what the photos had of
  // focal length and principal point.
  LensFile true_lens() const {
    const auto truth =
        nlohmann::json::parse(std::ifstream(fs::path(PIVOTFIX_SOURCE_DIR) / "samples/club-car/truth.json"));
    double focal_px = 0.0, x_px = 0.0, y_px = 0.0;
    const auto count = static_cast<double>(truth["photos"].size());
    for (const auto& photo : truth["photos"]) {
      focal_px += photo["focal_px"].get<double>() / count;
      x_px += photo["principal_point_px"][0].get<double>() / count;
      y_px += photo["principal_point_px"][1].get<double>() / count;
    }
    const auto& k = truth["lens"]["k1_k2_k3"];
    const auto& p = truth["lens"]["p1_p2"];
    LensFile lens;
    const std::string photo = truth["photos"][0]["file"];
    lens.camera = read_photo(workshop_.folder() / photo, photo).camera;
    lens.lens.values = {focal_px, 1.0, x_px, y_px, k[0], k[1], k[2], p[0], p[1]};
    const std::array<double, lens_parameter_count> sigma{0.5, 0.0, 0.5, 0.5, 1e-3, 3e-3, 5e-3, 5e-5, 5e-5};
    for (int i = 0; i < lens_parameter_count; ++i) lens.covariance(i, i) = sigma[i] * sigma[i];
    lens.photos = 15;
    return lens;
  }

  // Named on the command line or in the job, a lens file is used; that of another camera is refused.
  void expect_lens_files() const {
    LensFile lens = true_lens();
    workshop_.write("true.yml", lens_file_text(lens));
    lens.camera.width_px = 4032;
    workshop_.write("other.yml", lens_file_text(lens));
    workshop_.write("named.toml", "lenses = [\"true.yml\"]\n" + workshop_.read("job.toml"));
    const std::string lengths = "known-lengths.toml";
    const Outcome alone = workshop_.run({"accept", "job.toml", "--lengths", lengths});
    const Outcome by_option =
        workshop_.run({"accept", "job.toml", "--lengths", lengths, "--lens", "true.yml"});
    const Outcome by_key = workshop_.run({"accept", "named.toml", "--lengths", lengths});
    EXPECT_TRUE(by_option.out.starts_with("Passed: ")) << by_option.out << by_option.err;
    EXPECT_NE(by_option.out, alone.out);
    EXPECT_EQ(by_key.out, by_option.out) << by_key.err;
    const Outcome other = workshop_.run({"accept", "job.toml", "--lengths", lengths, "--lens", "other.yml"});
    EXPECT_EQ(other.exit_code, 4);
    EXPECT_TRUE(
        other.err.starts_with("pivotfix: other.yml: The lens file is of another camera or picture size ("))
        << other.err;
  }

  Workshop workshop_{};
};

TEST_F(Sample, GivesTheSameBytesOnOneThreadOnTwoFromTheCacheAndFromTheInstalledPackage) {
  run({"-o", "one", "--threads", "1"});  // fills the cache
  expect_record("one/hardpoints.json");
  run({"-o", "kept", "--threads", "2"});
  expect_same("one", "kept");
  expect_acceptance();
  expect_shots();
  expect_lens_files();

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
