#include "host/cli/output.hpp"

#include <cerrno>
#include <csignal>
#include <cstring>
#include <system_error>
#include <utility>

#include <unistd.h>

#include "host/report/document.hpp"

namespace host::cli {
namespace {

std::string reason(int error) {
  return std::generic_category().message(error);
}

Failure failure(ExitCode code, std::string message) {
  return {code, {std::move(message)}};
}

}  // namespace

bool settle_standard_streams() {
  bool output_open = true;
  for (int descriptor = STDIN_FILENO; descriptor <= STDERR_FILENO; ++descriptor) {
    if (dup2(descriptor, descriptor) == descriptor) continue;
    if (descriptor == STDOUT_FILENO) output_open = false;
    // The lowest free descriptor is this one; it stays open for as long as the program runs.
    [[maybe_unused]] const std::FILE* kept = std::fopen("/dev/null", "r+");
  }
  std::signal(SIGPIPE, SIG_IGN);
  return output_open;
}

tl::expected<void, Failure> answer(std::string_view text) {
  errno = 0;
  const bool written =
      std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  if (written) return {};
  return tl::unexpected{failure(ExitCode::kInputOutput, "can't write to standard output: " + reason(errno))};
}

std::string octets_text(std::span<const std::uint8_t> octets) {
  return {octets.begin(), octets.end()};
}

void complain(const Failure& failure) {
  std::string text;
  for (std::string_view message : failure.messages) {
    text += "strapline: ";
    while (true) {  // line by line, since each is cleaned of what would end it
      const std::size_t end = message.find('\n');
      text += report::cleaned(message.substr(0, end)) + '\n';
      if (end == std::string_view::npos || end + 1 == message.size()) break;
      message.remove_prefix(end + 1);
    }
  }
  std::fputs(text.c_str(), stderr);
}

tl::expected<PendingFile, Failure> PendingFile::create(const std::string& path) {
  PendingFile pending;
  pending.path_ = path;
  pending.beside_ = path + ".new-" + std::to_string(getpid());
  pending.file_.reset(std::fopen(pending.beside_.c_str(), "wxe"));
  if (pending.file_ == nullptr) {
    pending.beside_.clear();
    return tl::unexpected{failure(ExitCode::kCantCreate, "can't create " + path + ": " + reason(errno))};
  }
  return pending;
}

PendingFile::PendingFile(PendingFile&& other) noexcept
    : file_{std::move(other.file_)}, path_{std::move(other.path_)}, beside_{std::move(other.beside_)} {
  other.beside_.clear();
}

PendingFile::~PendingFile() {
  if (!beside_.empty()) std::remove(beside_.c_str());
}

tl::expected<void, Failure> PendingFile::commit(std::string_view text) {
  errno = 0;
  const bool written = std::fwrite(text.data(), 1, text.size(), file_.get()) == text.size() &&
                       std::fflush(file_.get()) == 0 && fsync(fileno(file_.get())) == 0;
  if (!written) {
    return tl::unexpected{failure(ExitCode::kInputOutput, "can't write " + path_ + ": " + reason(errno))};
  }
  file_.reset();
  if (std::rename(beside_.c_str(), path_.c_str()) != 0) {
    return tl::unexpected{failure(ExitCode::kCantCreate, "can't create " + path_ + ": " + reason(errno))};
  }
  beside_.clear();
  return {};
}

}  // namespace host::cli
