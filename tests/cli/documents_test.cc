// SPDX-License-Identifier: Apache-2.0
// docs/reference.md, the man page, the shell's completion and the pages of docs/ agree with the program.
#include "cli/documents.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <regex>
#include <set>
#include <sstream>

#include "base/temporary_folder.h"
#include "cli/program.h"
#include "run_program.h"

namespace pivotfix {
namespace {

// Runs a shell command in the workshop; what it printed.
Outcome shell(const Workshop& workshop, const std::string& command) {
  const std::string out = workshop.folder().string() + ".shell";
  const int status = std::system(
      ("cd '" + workshop.folder().string() + "' && ( " + command + " ) > '" + out + "' 2>&1").c_str());
  Outcome outcome{status == 0 ? 0 : 1, content_of(out), ""};
  std::filesystem::remove(out);
  return outcome;
}

std::vector<std::string> command_names() {
  std::vector<std::string> names;
  const auto program = make_program();
  for (const CLI::App* command : program->get_subcommands([](const CLI::App*) { return true; }))
    names.push_back(command->get_name());
  return names;
}

TEST(Reference, IsTheOneOfThisProgram) {
  EXPECT_TRUE(content_of(PIVOTFIX_SOURCE_DIR "/docs/reference.md") == reference_markdown(*make_program()))
      << "Options have changed. Make the page anew: cmake --build build --target documents, then copy "
         "build/documents/reference.md to docs/";
}

// Against what --help prints, which CLI11 makes and not our own page maker.
TEST(Reference, HasEveryOptionThatHelpShows) {
  const Workshop workshop;
  const std::string reference = content_of(PIVOTFIX_SOURCE_DIR "/docs/reference.md");
  const std::string man = man_page(*make_program());
  for (const std::string& command : command_names()) {
    const std::size_t from = reference.find("\n## " + command + "\n");
    ASSERT_NE(from, std::string::npos) << command;
    const std::string section = reference.substr(from, reference.find("\n## ", from + 1) - from);
    std::istringstream help(workshop.run({command, "--help"}).out);
    int options = 0;
    for (std::string line; std::getline(help, line);) {
      const std::size_t at = line.find("--");
      if (!line.starts_with("  -") || at == std::string::npos) continue;
      const std::string name = line.substr(at, line.find_first_of(" =,", at) - at);
      EXPECT_NE(section.find("`" + name + "`"), std::string::npos) << command << " " << name;
      std::string in_man;
      for (const char c : name) in_man += c == '-' ? std::string("\\-") : std::string(1, c);
      EXPECT_NE(man.find("\\fB" + in_man + "\\fR"), std::string::npos) << command << " " << name;
      ++options;
    }
    EXPECT_GE(options, 2) << command;
  }
}

TEST(ManPage, IsSetWithoutAComplaint) {
  const Workshop workshop;
  workshop.write("pivotfix.1", man_page(*make_program()));
  const Outcome complaints = shell(workshop, "groff -man -Tutf8 -ww -z pivotfix.1");
  EXPECT_EQ(complaints.exit_code, 0);
  EXPECT_EQ(complaints.out, "");
  const Outcome page = shell(workshop, "groff -man -Tascii pivotfix.1");
  for (const std::string& command : command_names())
    EXPECT_NE(page.out.find("pivotfix " + command), std::string::npos) << command;
}

TEST(Completion, KnowsCommandsOptionsAndFiles) {
  const Workshop workshop;
  workshop.write("completion", bash_completion(*make_program()));
  workshop.write("front-left.toml", "");
  const auto completed = [&](const std::string& words) {
    const std::string last = words.substr(words.rfind(' ') + 1);
    return shell(workshop, "bash -c '. ./completion; COMP_WORDS=(" + words + (last.empty() ? "\"\"" : "") +
                               "); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _pivotfix; echo ${COMPREPLY[@]}'")
        .out;
  };
  EXPECT_EQ(completed("pivotfix st"), "steer\n");
  EXPECT_EQ(completed("pivotfix steer --what"), "--what-if\n");
  EXPECT_EQ(completed("pivotfix run front"), "front-left.toml\n");
}

// Every link to a file of ours; those to other pages of the net are not looked at.
TEST(Documentation, LinksLeadToFilesThatAreThere) {
  namespace fs = std::filesystem;
  const fs::path root = PIVOTFIX_SOURCE_DIR;
  std::vector<fs::path> pages{root / "README.md", root / "DEVELOPERS.md"};
  for (const auto& entry : fs::directory_iterator(root / "docs"))
    if (entry.path().extension() == ".md") pages.push_back(entry.path());
  int links = 0;
  for (const fs::path& page : pages) {
    const std::string text = content_of(page);
    for (std::size_t at = text.find("]("); at != std::string::npos; at = text.find("](", at + 1)) {
      const std::string link = text.substr(at + 2, text.find_first_of(")#", at + 2) - at - 2);
      if (link.empty() || link.find("://") != std::string::npos || link.find('\n') != std::string::npos)
        continue;
      EXPECT_TRUE(fs::exists(page.parent_path() / link)) << page << ": " << link;
      ++links;
    }
  }
  EXPECT_GT(links, 20);
}

// The suites that the table of guards says each guard is tested by.
TEST(Documentation, NamesTestsThatAreThere) {
  std::set<std::string> suites;
  const std::regex heading("\\nTEST(_F|_P)?\\((\\w+),");
  for (const auto& entry : std::filesystem::recursive_directory_iterator(PIVOTFIX_SOURCE_DIR "/tests")) {
    if (entry.path().extension() != ".cc") continue;
    const std::string text = content_of(entry.path());
    for (std::sregex_iterator at(text.begin(), text.end(), heading), end; at != end; ++at)
      suites.insert((*at)[2]);
  }
  const std::string page = content_of(PIVOTFIX_SOURCE_DIR "/docs/hardening.md");
  std::istringstream guards(
      page.substr(page.find("\n| guard |"), page.find("\nWhat no guard can see") - page.find("\n| guard |")));
  int named = 0;
  for (std::string row; std::getline(guards, row);) {
    const std::size_t last = row.find_last_of('|', row.size() - 2);
    if (last == std::string::npos) continue;
    const std::string cell = row.substr(last);
    const std::regex name("`(\\w+)`");
    for (std::sregex_iterator at(cell.begin(), cell.end(), name), end; at != end; ++at, ++named)
      EXPECT_TRUE(suites.contains((*at)[1])) << row;
  }
  EXPECT_GT(named, 40);
}

TEST(Documentation, IndexNamesEveryPage) {
  const std::string index = content_of(PIVOTFIX_SOURCE_DIR "/docs/README.md");
  for (const auto& entry : std::filesystem::directory_iterator(PIVOTFIX_SOURCE_DIR "/docs")) {
    const std::string name = entry.path().filename().string();
    if (entry.path().extension() != ".md" || name == "README.md") continue;
    EXPECT_NE(index.find("](" + name + ")"), std::string::npos) << name;
  }
}

}  // namespace
}  // namespace pivotfix
