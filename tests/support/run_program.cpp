#include "tests/support/run_program.hpp"

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

namespace tests::support {
namespace {

using Clock = std::chrono::steady_clock;

std::vector<char*> pointers(std::vector<std::string>& words) {
  std::vector<char*> out;
  out.reserve(words.size() + 1);
  for (auto& word : words) out.push_back(word.data());
  out.push_back(nullptr);
  return out;
}

std::string variable(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? "" : value;
}

void drain(int& descriptor, std::string& into) {
  std::array<char, 65536> buffer{};
  const ssize_t got = read(descriptor, buffer.data(), buffer.size());
  if (got > 0) {
    into.append(buffer.data(), static_cast<std::size_t>(got));
  } else if (got == 0 || errno != EINTR) {
    close(descriptor);
    descriptor = -1;
  }
}

}  // namespace

Running::Running(const Launch& launch) : started_{Clock::now()}, deadline_{started_ + launch.time_limit} {
  std::array<int, 2> out{};
  std::array<int, 2> err{};
  if (pipe2(out.data(), O_CLOEXEC) != 0 || pipe2(err.data(), O_CLOEXEC) != 0)
    throw std::runtime_error{"no pipes left"};
  std::vector<std::string> words{launch.program};
  words.insert(words.end(), launch.arguments.begin(), launch.arguments.end());
  std::vector<std::string> variables{"PATH=" + variable("PATH")};
  for (const auto& [name, value] : launch.environment) variables.push_back(name + "=" + value);

  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
  if (launch.stdout_to == "-") {
    posix_spawn_file_actions_addclose(&actions, STDOUT_FILENO);
  } else if (!launch.stdout_to.empty()) {
    posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, launch.stdout_to.c_str(), O_WRONLY | O_CREAT,
                                     0600);
  } else {
    posix_spawn_file_actions_adddup2(&actions, out[1], STDOUT_FILENO);
  }
  posix_spawn_file_actions_adddup2(&actions, err[1], STDERR_FILENO);
  const int failed = posix_spawnp(&pid_, launch.program.c_str(), &actions, nullptr, pointers(words).data(),
                                  pointers(variables).data());
  posix_spawn_file_actions_destroy(&actions);
  close(out[1]);
  close(err[1]);
  out_ = out[0];
  err_ = err[0];
  if (failed != 0) {
    close(out_);
    close(err_);
    throw std::runtime_error{"can't start " + launch.program};
  }
}

Running::~Running() {
  reap(true);
  if (out_ >= 0) close(out_);
  if (err_ >= 0) close(err_);
}

void Running::signal(int number) const {
  if (pid_ > 0) kill(pid_, number);
}

bool Running::pump() {
  std::array<pollfd, 2> waits{{{out_, POLLIN, 0}, {err_, POLLIN, 0}}};
  const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(deadline_ - Clock::now()).count();
  if (left <= 0) outcome_.timed_out = true;
  if (outcome_.timed_out || (out_ < 0 && err_ < 0)) return false;
  poll(waits.data(), waits.size(), static_cast<int>(left));
  if (out_ >= 0 && waits[0].revents != 0) drain(out_, outcome_.out);
  if (err_ >= 0 && waits[1].revents != 0) drain(err_, outcome_.err);
  return true;
}

void Running::reap(bool kill_it) {
  if (pid_ <= 0) return;
  if (kill_it) kill(pid_, SIGKILL);
  int status = 0;
  waitpid(pid_, &status, 0);
  outcome_.exit_code = WIFSIGNALED(status) ? 128 + WTERMSIG(status) : WEXITSTATUS(status);
  pid_ = -1;
}

Outcome Running::finish() {
  while (pump()) {
  }
  reap(outcome_.timed_out);
  outcome_.elapsed = std::chrono::duration_cast<std::chrono::milliseconds>(Clock::now() - started_);
  return outcome_;
}

bool Running::wait_for(const std::string& text) {
  const auto seen = [&] {
    return outcome_.out.find(text) != std::string::npos || outcome_.err.find(text) != std::string::npos;
  };
  while (!seen()) {
    if (!pump()) return false;
  }
  return true;
}

Outcome run(const Launch& launch) {
  return Running{launch}.finish();
}

std::string program_path(const std::string& name) {
  return variable("STRAPLINE_BIN") + "/" + name;
}

std::string source_path(const std::string& path) {
  return variable("STRAPLINE_SOURCE") + "/" + path;
}

std::string file_text(const std::string& path) {
  const std::ifstream file{path, std::ios::binary};
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

TemporaryFolder::TemporaryFolder() {
  std::string pattern = (std::filesystem::temp_directory_path() / "strapline-test-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error{"no temporary folder"};
  path_ = pattern;
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string TemporaryFolder::write(const std::string& name, const std::string& text) const {
  const std::filesystem::path path = std::filesystem::path{path_} / name;
  std::filesystem::create_directories(path.parent_path());
  std::ofstream{path, std::ios::binary} << text;
  return path.string();
}

}  // namespace tests::support
