#include "host/cli/signals.hpp"

#include <array>
#include <atomic>
#include <cassert>
#include <csignal>

#include <unistd.h>

namespace host::cli {
namespace {

std::atomic<link::CancelToken*> watched{
    nullptr};  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables)
static_assert(std::atomic<link::CancelToken*>::is_always_lock_free,
              "a signal handler may not wait for a lock");

constexpr std::array kSignals{SIGINT, SIGTERM, SIGHUP};

void on_signal(int number) {
  link::CancelToken* token = watched.load();
  if (token == nullptr || token->cancelled()) _exit(128 + number);
  token->cancel(number);
}

void handle_with(void (*handler)(int)) {
  for (const int number : kSignals) {
    struct sigaction before{};
    sigaction(number, nullptr, &before);
    if (before.sa_handler == SIG_IGN) continue;
    struct sigaction action{};
    action.sa_handler = handler;
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
  handle_with(on_signal);
}

SignalWatch::~SignalWatch() {
  handle_with(SIG_DFL);
  watched.store(nullptr);
}

}  // namespace host::cli
