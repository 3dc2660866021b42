#include "host/cli/signals.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <cassert>
#include <csignal>
#include <utility>

#include <unistd.h>

namespace host::cli {
namespace {

std::atomic<link::CancelToken*> watched{
    nullptr};  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables)
static_assert(std::atomic<link::CancelToken*>::is_always_lock_free,
              "a signal handler may not wait for a lock");

// What a handler removes; it may touch nothing that another thread or its own could be changing.
std::array<std::atomic<const char*>, 32>
    passing{};  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables)
static_assert(std::atomic<const char*>::is_always_lock_free, "a signal handler may not wait for a lock");

constexpr std::array kSignals{SIGINT, SIGTERM, SIGHUP};

void on_signal(int number) {
  link::CancelToken* token = watched.load();
  if (token != nullptr && !token->cancelled()) {
    token->cancel(number);
    return;
  }
  for (const auto& file : passing) {
    if (const char* path = file.load(); path != nullptr) unlink(path);
  }
  if (token != nullptr) _exit(128 + number);
  std::signal(number, SIG_DFL);
  (void)std::raise(number);  // comes when this returns
}

void handle_signals() {
  for (const int number : kSignals) {
    struct sigaction before{};
    sigaction(number, nullptr, &before);
    if (before.sa_handler == SIG_IGN) continue;
    struct sigaction action{};
    action.sa_handler = on_signal;
    sigemptyset(&action.sa_mask);
    sigaction(number, &action, nullptr);
  }
}

}  // namespace

int signal_asked() {
  const link::CancelToken* token = watched.load();
  return token == nullptr ? 0 : token->signal();
}

SignalWatch::SignalWatch(link::CancelToken& token) {
  assert(watched.load() == nullptr);
  watched.store(&token);
  handle_signals();
}

SignalWatch::~SignalWatch() {
  watched.store(nullptr);
}

PassingFile::PassingFile(std::string path) : path_{std::move(path)} {
  const auto free =
      std::find_if(passing.begin(), passing.end(), [](const auto& file) { return file.load() == nullptr; });
  slot_ = static_cast<std::size_t>(free - passing.begin());
  if (free != passing.end()) free->store(path_.c_str());
  handle_signals();
}

PassingFile::~PassingFile() {
  unlink(path_.c_str());
  if (slot_ < passing.size()) passing.at(slot_).store(nullptr);
}

}  // namespace host::cli
