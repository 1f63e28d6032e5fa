// SPDX-License-Identifier: Apache-2.0
#include "run_program.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

// In the child: never returns.
[[noreturn]] void become_program(const std::vector<std::string>& arguments, const fs::path& folder,
                                 const fs::path& out, const fs::path& err) {
  const int out_descriptor = ::open(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  const int err_descriptor = ::open(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  const int in_descriptor = ::open("/dev/null", O_RDONLY);
  ::dup2(in_descriptor, STDIN_FILENO);
  ::dup2(out_descriptor, STDOUT_FILENO);
  ::dup2(err_descriptor, STDERR_FILENO);
  if (::chdir(folder.c_str()) != 0) ::_exit(126);
  std::vector<char*> argv;
  std::string program = PIVOTFIX_PROGRAM;
  argv.push_back(program.data());
  std::vector<std::string> copies = arguments;
  for (std::string& argument : copies) argv.push_back(argument.data());
  argv.push_back(nullptr);
  ::execv(program.c_str(), argv.data());
  ::_exit(127);
}

}  // namespace

Outcome Workshop::run(const std::vector<std::string>& arguments, const std::string& out) const {
  const fs::path out_file = out.empty() ? fs::path(folder().string() + ".out") : fs::path(out);
  const fs::path err_file = folder().string() + ".err";
  const pid_t child = ::fork();
  if (child == 0) become_program(arguments, folder(), out_file, err_file);
  int status = 0;
  ::waitpid(child, &status, 0);
  Outcome outcome;
  outcome.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  outcome.err = content_of(err_file);
  fs::remove(err_file);
  if (!out.empty()) return outcome;
  outcome.out = content_of(out_file);
  fs::remove(out_file);
  return outcome;
}

void Workshop::write(const std::string& name, const std::string& content) const {
  folder_.write(name, content);
}

void Workshop::copy_data(const std::string& data_name, const std::string& name) const {
  fs::copy_file(fs::path(PIVOTFIX_CLI_DATA) / data_name, folder() / name);
}

std::string Workshop::read(const std::string& name) const {
  return content_of(folder() / name);
}

void Workshop::fill_in(const std::string& job) const {
  std::string text = read(job);
  const std::string blank = "\"?\"", level = "nose_up = ";
  if (const auto at = text.find(level + blank); at != std::string::npos)
    text.replace(at + level.size(), blank.size(), "0");
  for (auto at = text.find("= " + blank); at != std::string::npos; at = text.find("= " + blank))
    text.replace(at + 2, blank.size(), "\"201 mm\"");
  const std::string list = "[" + blank + "]";
  for (auto at = text.find(list); at != std::string::npos; at = text.find(list))
    text.replace(at, list.size(), "[]");
  write(job, text);
}

bool Workshop::has(const std::string& name) const {
  return fs::exists(folder() / name);
}

std::vector<std::string> Workshop::files() const {
  std::vector<std::string> names;
  for (const auto& entry : fs::recursive_directory_iterator(folder()))
    if (!entry.is_directory()) names.push_back(entry.path().lexically_relative(folder()).string());
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace pivotfix
