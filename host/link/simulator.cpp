#include "host/link/simulator.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include <fcntl.h>
#include <fmt/core.h>
#include <linux/close_range.h>
#include <poll.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

namespace host::link {

namespace fs = std::filesystem;
using protocol::base::milliseconds;

namespace {

constexpr protocol::base::Duration kStartMax = milliseconds(5000);
constexpr protocol::base::Duration kEndMax = milliseconds(150);

std::string environment(const char* name) {
  const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): one thread
  return value != nullptr ? value : "";
}

Result<fs::path> find_program() {
  fs::path program = environment("STRAPLINE_SIM");
  if (program.empty()) {
    std::error_code error;
    program = fs::read_symlink("/proc/self/exe", error).parent_path() / "strapline-sim";
  }
  if (::access(program.c_str(), X_OK) != 0) {
    return failure(Fault::kProgramMissing,
                   fmt::format("the simulator {} can't be run: {}", program.string(), std::strerror(errno)),
                   "build or install strapline-sim beside strapline, or name it in STRAPLINE_SIM");
  }
  return program;
}

Result<fs::path> make_folder() {
  std::string root = environment("XDG_RUNTIME_DIR");
  if (root.empty() || ::access(root.c_str(), W_OK | X_OK) != 0) {
    root = environment("TMPDIR");
  }
  std::string name = (root.empty() ? std::string{"/tmp"} : root) + "/strapline-XXXXXX";
  if (::mkdtemp(name.data()) == nullptr) {
    return failure(Fault::kPortFailed,
                   fmt::format("can't make a folder like {}: {}", name, std::strerror(errno)),
                   "point TMPDIR at a folder that can be written");
  }
  return fs::path{name};
}

void nap(const CancelToken& cancel) {
  pollfd wish{cancel.fd(), POLLIN, 0};
  (void)::poll(&wish, 1, 2);
}

// Between fork and exec: only what is safe in a signal handler.
[[noreturn]] void become(const char* program, char* const* arguments, int errors, pid_t parent) {
  (void)::prctl(PR_SET_PDEATHSIG, SIGTERM);
  if (::getppid() != parent) {
    ::_exit(EXIT_FAILURE);  // the parent died before it could be watched
  }
  // A Ctrl-C at the terminal is for the parent, which ends in order and then ends this process.
  (void)::setpgid(0, 0);
  // What its parent's death sends waits until it can end in order, which takes its folder along.
  sigset_t held;
  (void)::sigemptyset(&held);
  (void)::sigaddset(&held, SIGTERM);
  (void)::sigprocmask(SIG_SETMASK, &held, nullptr);
  const int null = ::open("/dev/null", O_RDWR);
  if (null < 0 || ::dup2(null, STDIN_FILENO) < 0 || ::dup2(null, STDOUT_FILENO) < 0 ||
      ::dup2(errors < 0 ? null : errors, STDERR_FILENO) < 0) {
    ::_exit(EXIT_FAILURE);
  }
  (void)::close_range(STDERR_FILENO + 1, ~0U, 0);
  ::execv(program, arguments);
  ::_exit(127);
}

std::vector<std::string> arguments_of(const SimLink& link, const fs::path& program, const fs::path& pty,
                                      const fs::path& catalog) {
  std::vector<std::string> words{program.string(), link.kit,          "--pty",
                                 pty.string(),     "--remove-folder", "--quiet"};
  if (!catalog.empty()) {
    words.insert(words.end(), {"--catalog", catalog.string()});
  }
  for (const SimOption& option : link.options) {
    words.push_back("--" + option.name);
    if (option.value.has_value()) {
      words.push_back(*option.value);
    }
  }
  return words;
}

}  // namespace

Simulator::Simulator(Simulator&& other) noexcept
    : pid_{std::exchange(other.pid_, -1)},
      status_{other.status_},
      reaped_{other.reaped_},
      errors_{std::exchange(other.errors_, -1)},
      folder_{std::exchange(other.folder_, {})} {}

Simulator& Simulator::operator=(Simulator&& other) noexcept {
  if (this != &other) {
    stop();
    pid_ = std::exchange(other.pid_, -1);
    status_ = other.status_;
    reaped_ = other.reaped_;
    errors_ = std::exchange(other.errors_, -1);
    folder_ = std::exchange(other.folder_, {});
  }
  return *this;
}

Simulator::~Simulator() {
  stop();
}

bool Simulator::ended() {
  if (!reaped_ && pid_ > 0 && ::waitpid(pid_, &status_, WNOHANG) == pid_) {
    reaped_ = true;
  }
  return reaped_;
}

std::string Simulator::last_words() const {
  std::array<char, 4096> store{};
  struct stat file{};
  if (errors_ < 0 || ::fstat(errors_, &file) != 0) {
    return {};
  }
  const auto tail = static_cast<off_t>(store.size());
  const ssize_t got = ::pread(errors_, store.data(), store.size(), std::max<off_t>(0, file.st_size - tail));
  std::string_view text{store.data(), got > 0 ? static_cast<std::size_t>(got) : 0};
  // What is wrong stands at the margin; indented lines under it show the place.
  std::string words;
  while (words.empty() && !text.empty()) {
    const std::size_t begin = text.rfind('\n') + 1;  // npos + 1 is 0: the first line
    const std::string_view line = text.substr(begin);
    if (!line.empty() && line.front() != ' ') {
      words = line;
    }
    text = text.substr(0, begin == 0 ? 0 : begin - 1);
  }
  std::replace_if(
      words.begin(), words.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; },
      ' ');
  return words;
}

bool Simulator::ends_within(protocol::base::Duration patience) {
  const auto begun = monotonic_now();
  while (!ended() && monotonic_now() - begun < patience) {
    (void)::poll(nullptr, 0, 1);
  }
  return ended();
}

std::string Simulator::why_ended(protocol::base::Duration patience) {
  if (!ends_within(patience)) {
    return {};
  }
  const std::string words = last_words();
  const std::string how = WIFSIGNALED(status_)
                              ? fmt::format("the simulator was ended by signal {}", WTERMSIG(status_))
                              : fmt::format("the simulator ended with exit code {}", WEXITSTATUS(status_));
  return words.empty() ? how : fmt::format("{}: {}", how, words);
}

LinkError Simulator::end_error(const std::string& kit) {
  LinkError error = link_error(Fault::kSimulatorEnded, why_ended(),
                               fmt::format("run strapline-sim {} --pty LINKNAME by itself to see why", kit));
  const int code = WIFEXITED(status_) ? WEXITSTATUS(status_) : 0;
  if (code >= 64 && code <= 66) {
    // What it was asked for was wrong, so its own words say best what and where.
    const std::string words = last_words();
    if (!words.empty()) {
      error.message = words;
      error.remedy.clear();
    }
    error.domain = code == 64 ? Domain::kCaller : Domain::kFile;
    error.exit_code = code;
  }
  return error;
}

Result<Simulator> Simulator::start(const SimLink& link, const fs::path& catalog, Deadline deadline,
                                   const CancelToken& cancel) {
  const auto program = find_program();
  if (!program) {
    return tl::unexpected{program.error()};
  }
  auto folder = make_folder();
  if (!folder) {
    return tl::unexpected{folder.error()};
  }
  Simulator simulator;
  simulator.folder_ = *folder;
  simulator.errors_ = ::memfd_create("strapline-sim stderr", MFD_CLOEXEC);

  std::vector<std::string> words = arguments_of(link, *program, simulator.port(), catalog);
  std::vector<char*> arguments;
  arguments.reserve(words.size() + 1);
  for (std::string& word : words) {
    arguments.push_back(word.data());
  }
  arguments.push_back(nullptr);
  const pid_t parent = ::getpid();
  simulator.pid_ = ::fork();
  if (simulator.pid_ == 0) {
    become(program->c_str(), arguments.data(), simulator.errors_, parent);
  }
  if (simulator.pid_ < 0) {
    return failure(Fault::kPortFailed, fmt::format("can't start the simulator: {}", std::strerror(errno)),
                   "end some processes and start again");
  }
  const auto begun = monotonic_now();
  while (true) {
    struct stat there{};
    if (::stat(simulator.port().c_str(), &there) == 0) {
      return simulator;
    }
    if (simulator.ended()) {
      return tl::unexpected{simulator.end_error(link.kit)};
    }
    if (cancel.cancelled()) {
      return tl::unexpected{cancelled_error(cancel)};
    }
    if (const auto now = monotonic_now(); now >= deadline.at || now - begun >= kStartMax) {
      return failure(
          Fault::kOutOfTime, "the simulator didn't offer its port in time",
          "give more time with --timeout, or run strapline-sim by itself to see what it waits for");
    }
    nap(cancel);
  }
}

void Simulator::stop() {
  if (pid_ > 0 && !ended()) {
    (void)::kill(pid_, SIGTERM);
    if (!ends_within(kEndMax)) {
      (void)::kill(pid_, SIGKILL);
      while (::waitpid(pid_, &status_, 0) < 0 && errno == EINTR) {
      }
      reaped_ = true;
    }
  }
  pid_ = -1;
  if (errors_ >= 0) {
    (void)::close(std::exchange(errors_, -1));
  }
  if (!folder_.empty()) {
    std::error_code ignored;
    fs::remove(folder_ / "unit", ignored);
    fs::remove(folder_, ignored);
    folder_.clear();
  }
}

}  // namespace host::link
