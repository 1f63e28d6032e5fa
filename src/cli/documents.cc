// SPDX-License-Identifier: Apache-2.0
#include "cli/documents.h"

#include <vector>

#include "cli/command.h"

namespace pivotfix {
namespace {

struct OptionWords {
  bool positional = false;
  std::vector<std::string> names{};  // "--output", "-o"; of a positional its name
  std::string value{};               // "JOB.toml", "TEXT"; empty for a flag
  std::string preset{};
  std::string description{};
  bool required = false;
};

std::string value_of(const CLI::Option& option) {
  if (!option.get_option_text().empty()) return option.get_option_text();
  return option.get_type_size() == 0 ? "" : option.get_type_name();
}

OptionWords words_of(const CLI::Option& option) {
  OptionWords words;
  words.positional = option.get_lnames().empty() && option.get_snames().empty();
  if (words.positional) words.names.push_back(option.get_name(true, false));
  for (const std::string& name : option.get_snames()) words.names.push_back("-" + name);
  for (const std::string& name : option.get_lnames()) words.names.push_back("--" + name);
  words.value = value_of(option);
  words.preset = option.get_default_str();
  words.description = option.get_description();
  words.required = option.get_required();
  return words;
}

std::vector<OptionWords> options_of(const CLI::App& app) {
  std::vector<OptionWords> options;
  for (const CLI::Option* option : app.get_options()) options.push_back(words_of(*option));
  return options;
}

std::vector<const CLI::App*> commands_of(const CLI::App& program) {
  return program.get_subcommands([](const CLI::App*) { return true; });
}

std::string joined(const std::vector<std::string>& texts, const std::string& between) {
  std::string line;
  for (const std::string& text : texts) line += (line.empty() ? "" : between) + text;
  return line;
}

// "pivotfix run JOB.toml [options]"
std::string usage_of(const CLI::App& command) {
  std::string line = "pivotfix " + command.get_name();
  for (const OptionWords& option : options_of(command))
    if (option.positional) line += " " + (option.value.empty() ? option.names.front() : option.value);
  return line + " [options]";
}

// Without the exit codes, which are said once.
std::string footer_of(const CLI::App& app) {
  std::string footer = app.get_footer();
  if (const std::size_t codes = footer.find(exit_codes_help); codes != std::string::npos)
    footer.resize(codes);
  while (!footer.empty() && footer.back() == '\n') footer.pop_back();
  return footer;
}

std::string in_table(const std::string& text) {
  std::string cell;
  for (const char c : text) cell += c == '|' ? std::string("\\|") : std::string(1, c);
  return cell;
}

std::string markdown_row(const OptionWords& option) {
  std::string name = "`" + joined(option.names, "`, `") + "`";
  if (!option.value.empty()) name += " " + in_table(option.value);
  std::string preset = option.required ? "must be there" : option.preset;
  return "| " + name + " | " + in_table(option.description) + " | " + in_table(preset) + " |\n";
}

// A letter that man(7) would take for one of its own.
std::string roff(const std::string& text) {
  std::string result;
  bool line_start = true;
  for (const char c : text) {
    if (line_start && (c == '.' || c == '\'')) result += "\\&";
    if (c == '\\')
      result += "\\e";
    else if (c == '-')
      result += "\\-";
    else
      result += c;
    line_start = c == '\n';
  }
  return result;
}

std::string man_option(const OptionWords& option) {
  std::string text = ".TP\n";
  std::vector<std::string> names;
  for (const std::string& name : option.names) names.push_back("\\fB" + roff(name) + "\\fR");
  text += joined(names, ", ");
  if (!option.value.empty()) text += " \\fI" + roff(option.value) + "\\fR";
  text += "\n" + roff(option.description);
  if (!option.preset.empty()) text += " [" + roff(option.preset) + "]";
  return text + "\n";
}

}  // namespace

std::string reference_markdown(const CLI::App& program) {
  std::string text =
      "# Reference\n\nEvery command and option, as `--help` has them. This page is made by the program's own "
      "build "
      "(`pivotfix_documents`);\nthe keys of the job file are in [job-file.md](job-file.md), the fields of "
      "hardpoint "
      "files in\n[hardpoint-file.md](hardpoint-file.md).\n\n" +
      program.get_description() + "\n\n| command | |\n|---|---|\n";
  for (const CLI::App* command : commands_of(program))
    text += "| [`" + command->get_name() + "`](#" + command->get_name() + ") | " +
            command->get_description() + " |\n";
  text += "\n" + std::string(exit_codes_help) + "\n";
  for (const CLI::App* command : commands_of(program)) {
    text += "\n## " + command->get_name() + "\n\n" + command->get_description() + ".\n\n`" +
            usage_of(*command) + "`\n\n| option | what | when missing |\n|---|---|---|\n";
    for (const OptionWords& option : options_of(*command)) text += markdown_row(option);
    if (const std::string footer = footer_of(*command); !footer.empty())
      text += "\n```\n" + footer + "\n```\n";
  }
  return text;
}

std::string man_page(const CLI::App& program) {
  std::string text =
      ".TH PIVOTFIX 1 \"\" \"pivotfix " + std::string(program_version) + "\" \"User Commands\"\n" +
      ".SH NAME\npivotfix \\- measure suspension pivots from photos and advise on rod\\-end spacers\n" +
      ".SH SYNOPSIS\n.B pivotfix\n.I command\n.RI [ options ]\n.SH DESCRIPTION\n" +
      roff(program.get_description()) + "\n" +
      ".PP\nSteering can hurt people: have the work checked before the car is driven.\n";
  for (const CLI::App* command : commands_of(program)) {
    text += ".SH \"" + roff(command->get_name()) + "\"\n" + roff(command->get_description()) +
            ".\n.PP\n\\fB" + roff(usage_of(*command)) + "\\fR\n";
    for (const OptionWords& option : options_of(*command)) text += man_option(option);
    if (const std::string footer = footer_of(*command); !footer.empty())
      text += ".PP\n.nf\n" + roff(footer) + "\n.fi\n";
  }
  return text + ".SH \"EXIT STATUS\"\n.nf\n" + roff(exit_codes_help) + "\n.fi\n";
}

std::string bash_completion(const CLI::App& program) {
  std::vector<std::string> names;
  std::string cases;
  for (const CLI::App* command : commands_of(program)) {
    names.push_back(command->get_name());
    std::vector<std::string> options;
    for (const OptionWords& option : options_of(*command))
      if (!option.positional) options.insert(options.end(), option.names.begin(), option.names.end());
    cases += "    " + command->get_name() + ") words=\"" + joined(options, " ") + "\" ;;\n";
  }
  return "# Completion of pivotfix for bash; made from the program's commands.\n"
         "_pivotfix() {\n"
         "  local word=${COMP_WORDS[COMP_CWORD]} words=\n"
         "  COMPREPLY=()\n"
         "  if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
         "    mapfile -t COMPREPLY < <(compgen -W \"" +
         joined(names, " ") +
         " --help --version\" -- \"$word\")\n"
         "    return\n"
         "  fi\n"
         "  case ${COMP_WORDS[1]} in\n" +
         cases +
         "  esac\n"
         "  case $word in\n"
         "    -*) mapfile -t COMPREPLY < <(compgen -W \"$words\" -- \"$word\") ;;\n"
         "    *) mapfile -t COMPREPLY < <(compgen -f -- \"$word\") ;;\n"
         "  esac\n"
         "}\n"
         "complete -o filenames -F _pivotfix pivotfix\n";
}

}  // namespace pivotfix
