// SPDX-License-Identifier: Apache-2.0
// Help, version and wrong options: what someone meets who types the first time.
#include <gtest/gtest.h>

#include "run_program.h"

namespace pivotfix {
namespace {

class CommandHelp : public testing::TestWithParam<const char*> {};

TEST_P(CommandHelp, SaysWhatToTypeAndHowItEnds) {
  const Workshop workshop;
  const Outcome help = workshop.run({GetParam(), "--help"});
  EXPECT_EQ(help.exit_code, 0);
  EXPECT_EQ(help.err, "");
  EXPECT_NE(help.out.find(std::string("Usage: pivotfix ") + GetParam()), std::string::npos) << help.out;
  EXPECT_NE(help.out.find(std::string(": pivotfix ") + GetParam() + " "), std::string::npos) << "no example";
  EXPECT_NE(
      help.out.find("Exit codes: 0 done, 1 defect of the program, 2 wrong options, 3 a file is missing or "
                    "wrong,\n4 refused"),
      std::string::npos);
}

INSTANTIATE_TEST_SUITE_P(Of, CommandHelp,
                         testing::Values("print", "new", "locate", "steer", "shots", "run", "accept", "lens",
                                         "convert", "compare", "pool"),
                         [](const auto& command) { return std::string(command.param); });

TEST(Help, ListsEveryCommand) {
  const Workshop workshop;
  const Outcome help = workshop.run({"--help"});
  EXPECT_EQ(help.exit_code, 0);
  for (const char* command : {"\n  print ", "\n  new ", "\n  locate ", "\n  steer ", "\n  shots ", "\n  run ",
                              "\n  accept ", "\n  lens ", "\n  convert ", "\n  compare ", "\n  pool "})
    EXPECT_NE(help.out.find(command), std::string::npos) << command;
}

TEST(Version, IsOneLine) {
  const Workshop workshop;
  const Outcome version = workshop.run({"--version"});
  EXPECT_EQ(version.exit_code, 0);
  EXPECT_EQ(version.out, "pivotfix " PIVOTFIX_VERSION "\n");
}

struct Misuse {
  const char* name;
  std::vector<std::string> arguments;
  const char* message;
};

void PrintTo(const Misuse& misuse, std::ostream* out) {
  *out << misuse.name;
}

class WrongUse : public testing::TestWithParam<Misuse> {};

TEST_P(WrongUse, EndsWithTwoAndOneSentence) {
  const Workshop workshop;
  const Outcome outcome = workshop.run(GetParam().arguments);
  EXPECT_EQ(outcome.exit_code, 2);
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(outcome.err, std::string("pivotfix: ") + GetParam().message + "\n");
  EXPECT_TRUE(workshop.files().empty());
}

const Misuse misuses[] = {
    {"NoCommand",
     {},
     "No command is given. Known here are: print, new, locate, steer, shots, run, accept, lens, convert, "
     "compare, pool."},
    {"CommandWithASlip", {"loctae", "a.toml"}, "There is no command \"loctae\". Did you mean \"locate\"?"},
    {"UnknownCommand",
     {"sing"},
     "There is no command \"sing\". Known here are: print, new, locate, steer, shots, run, accept, lens, "
     "convert, compare, pool."},
    {"UnknownOption",
     {"locate", "a.toml", "--hlp"},
     "\"--hlp\" is not understood. See: pivotfix locate --help"},
    {"UnknownOptionAlone", {"locate", "--hlp"}, "\"--hlp\" is not understood. See: pivotfix locate --help"},
    {"UnknownOptionOfTheProgram", {"--hlp"}, "\"--hlp\" is not understood. See: pivotfix --help"},
    {"NoFile", {"run"}, "job is required. See: pivotfix run --help"},
    {"NoThreads",
     {"run", "a.toml", "--threads", "0"},
     "--threads: Value 0 not in range 1 to 1024. See: pivotfix run --help"},
    {"UnknownPaper", {"print", "--paper", "a5"}, "--paper: \"a5\" is no paper. Known are a4 and letter."},
    {"NumbersOutOfOrder",
     {"print", "--numbers", "7-3"},
     "--numbers: \"7-3\" is no list of tag numbers. Write it like 0-7,10,12."},
    {"NumbersWithLetters",
     {"print", "--numbers", "7,x"},
     "--numbers: \"7,x\" is no list of tag numbers. Write it like 0-7,10,12."},
    {"NumberOutOfTheFamily",
     {"print", "--numbers", "580-590"},
     "There is no tag 587. Tags have the numbers 0 to 586."},
    {"HalfAStrip", {"print", "--strip", "60-"}, "--strip: \"60-\" is no pair of tags. Write it like 60-61."},
    {"SideWithoutANumber",
     {"print", "--side", "big"},
     "--side: \"big\" is not a length: it does not start with a number. Write it like \"25.4 mm\" or \"0.200 "
     "in\"."},
    {"UnknownLayout",
     {"new", "a.toml", "--layout", "beam"},
     "--layout: 'beam' is no suspension layout. Known are 'strut', 'strut-two-links', "
     "'double-wishbone', 'double-wishbone-upper-spring', 'five-link'."},
    {"JobOfAnotherEnding",
     {"new", "front-left.json"},
     "\"front-left.json\": a job file's name ends in .toml. Write it like front-left.toml."},
    {"JobWithoutEnding",
     {"new", "front-left"},
     "\"front-left\": a job file's name ends in .toml. Write it like front-left.toml."},
    {"UnknownUnits", {"new", "a.toml", "--units", "cm"}, "--units: \"cm\" is no unit. Known are mm and in."},
};

INSTANTIATE_TEST_SUITE_P(Of, WrongUse, testing::ValuesIn(misuses),
                         [](const auto& misuse) { return std::string(misuse.param.name); });

}  // namespace
}  // namespace pivotfix
