// SPDX-License-Identifier: Apache-2.0
// The program under bad conditions: killed, no room, no right to write, two at once, names from strangers.
// PIVOTFIX_KILLS=500 kills it as often.
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <random>

#include "base/kills.h"
#include "run_program.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

// Runs a shell line in the folder and says how it ended.
int shell(const Workshop& workshop, const std::string& line) {
  const int status =
      std::system(("cd '" + workshop.folder().string() + "' && " + line + " > out.txt 2> err.txt").c_str());
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

pid_t start_steer(const Workshop& workshop, const std::string& file) {
  const pid_t child = ::fork();
  if (child != 0) return child;
  if (::chdir(workshop.folder().c_str()) != 0 || !std::freopen("/dev/null", "w", stdout)) ::_exit(126);
  ::execl(PIVOTFIX_PROGRAM, PIVOTFIX_PROGRAM, "steer", file.c_str(), "--report", "report.html", "--force",
          static_cast<char*>(nullptr));
  ::_exit(127);
}

int end_of(pid_t child) {
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

// Two hardpoint files and the reports that they make.
class TwoReports : public testing::Test {
 protected:
  void SetUp() override {
    workshop_.copy_data("hand-typed-strut.json", "one.json");
    std::string other = workshop_.read("one.json");
    const std::size_t at = other.find("\"title\": \"");
    ASSERT_NE(at, std::string::npos);
    workshop_.write("two.json", other.insert(at + 10, "another "));
    for (int i = 0; i < 2; ++i) {
      ASSERT_EQ(workshop_.run({"steer", names_[i], "--report", "report.html", "--force"}).exit_code, 0);
      reports_[i] = workshop_.read("report.html");
    }
    ASSERT_NE(reports_[0], reports_[1]);
  }

  bool report_is_whole() const {
    const std::string now = workshop_.read("report.html");
    return now == reports_[0] || now == reports_[1];
  }

  Workshop workshop_{};
  const std::string names_[2] = {"one.json", "two.json"};
  std::string reports_[2];
};

TEST_F(TwoReports, KilledAtAnyMomentTheReportIsTheOldOrTheNewOneAndTheNextRunWorks) {
  const auto before = std::chrono::steady_clock::now();
  ASSERT_EQ(end_of(start_steer(workshop_, "one.json")), 0);
  const auto whole_run = std::chrono::steady_clock::now() - before;
  std::mt19937 random(2);
  std::uniform_int_distribution<long> microseconds(
      0, std::chrono::duration_cast<std::chrono::microseconds>(whole_run).count() * 5 / 4);
  int killed = 0;
  for (int round = 0; round < rounds_wished(20); ++round) {
    const pid_t child = start_steer(workshop_, names_[round % 2]);
    ::usleep(static_cast<useconds_t>(microseconds(random)));
    ::kill(child, SIGKILL);
    killed += end_of(child) == 128 + SIGKILL ? 1 : 0;
    ASSERT_TRUE(report_is_whole()) << "round " << round;
  }
  EXPECT_GT(killed, 0);
  EXPECT_EQ(end_of(start_steer(workshop_, "two.json")), 0);
  EXPECT_EQ(workshop_.read("report.html"), reports_[1]);
}

TEST_F(TwoReports, TwoRunsAtOnceBothSucceedAndTheReportIsOneOfTheirs) {
  for (int round = 0; round < 5; ++round) {
    const pid_t one = start_steer(workshop_, "one.json"), two = start_steer(workshop_, "two.json");
    EXPECT_EQ(end_of(one), 0);
    EXPECT_EQ(end_of(two), 0);
    ASSERT_TRUE(report_is_whole());
  }
  for (const std::string& name : workshop_.files()) EXPECT_FALSE(name.ends_with(".part")) << name;
}

// A limit on the size of files acts as a full disk does, in the middle of a file.
TEST_F(TwoReports, WithoutRoomOnTheDiskTheOldReportStays) {
  const std::string old = workshop_.read("report.html");
  EXPECT_EQ(
      shell(workshop_, "ulimit -f 100 && '" PIVOTFIX_PROGRAM "' steer one.json --report report.html --force"),
      3);
  EXPECT_EQ(workshop_.read("err.txt"),
            "pivotfix: report.html: Cannot write the file: File too large. Nothing was changed.\n");
  EXPECT_EQ(workshop_.read("report.html"), old);
  for (const std::string& name : workshop_.files()) EXPECT_FALSE(name.ends_with(".part")) << name;
  EXPECT_EQ(shell(workshop_, "'" PIVOTFIX_PROGRAM "' steer one.json > /dev/full; exit $?"), 3);
}

TEST_F(TwoReports, WhereNothingMayBeWrittenItSaysSo) {
  std::string folder = workshop_.folder() / "locked";
  fs::create_directory(folder);
  fs::permissions(folder, fs::perms::owner_read | fs::perms::owner_exec);
  if (::geteuid() == 0) folder = "/proc";  // root may write anywhere but there
  const Outcome outcome = workshop_.run({"steer", "one.json", "--report", folder + "/report.html"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_NE(outcome.err.find("Cannot write the file"), std::string::npos) << outcome.err;
}

TEST(Strangers, TitlesWithMarkupAndTerminalCodesAreTextInTheReportAndOnTheTerminal) {
  const Workshop workshop;
  workshop.copy_data("hand-typed-strut.json", "car.json");
  std::string json = workshop.read("car.json");
  const std::size_t at = json.find("\"title\": \"");
  ASSERT_NE(at, std::string::npos);
  json.insert(at + 10, "<script>alert(1)</script>\\u001b[31m\\u0000' onload=x Ärger ");
  workshop.write("c a'r \"1\" ü.json", json);
  const Outcome outcome = workshop.run({"steer", "c a'r \"1\" ü.json", "--report", "the <b>report.html"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.out.find('\x1b'), std::string::npos);
  EXPECT_NE(outcome.out.find("Ärger"), std::string::npos);
  const std::string html = workshop.read("the <b>report.html");
  EXPECT_EQ(html.find("<script>alert"), std::string::npos);
  EXPECT_NE(html.find("&lt;script&gt;alert(1)"), std::string::npos);
}

TEST(Strangers, TerminalCodesInNamesDoNotReachTheTerminal) {
  const Workshop workshop;
  const Outcome outcome = workshop.run({"steer", "no\x1b[2Jsuch.json"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.err.find('\x1b'), std::string::npos) << outcome.err;
}

// None ends by a signal, none writes, whatever a file of the right name holds.
TEST(Strangers, GarbageInPlaceOfAnyFileIsRefusedInASentence) {
  const Workshop workshop;
  std::string garbage;
  std::mt19937 random(3);
  for (int i = 0; i < 20000; ++i) garbage += static_cast<char>(random() & 0xFF);
  workshop.write("garbage", garbage);
  for (const std::vector<std::string>& arguments : {std::vector<std::string>{"run", "garbage"},
                                                    {"locate", "garbage"},
                                                    {"shots", "garbage"},
                                                    {"steer", "garbage"},
                                                    {"accept", "garbage", "--lengths", "garbage"},
                                                    {"lens", "garbage"}}) {
    const Outcome outcome = workshop.run(arguments);
    EXPECT_TRUE(outcome.exit_code == 2 || outcome.exit_code == 3 || outcome.exit_code == 4)
        << arguments[0] << ": " << outcome.exit_code << " " << outcome.err;
    EXPECT_NE(outcome.err, "");
  }
  EXPECT_EQ(workshop.files(), std::vector<std::string>{"garbage"});
}

}  // namespace
}  // namespace pivotfix
