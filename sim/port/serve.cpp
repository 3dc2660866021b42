#include "sim/port/serve.hpp"

#include <algorithm>
#include <csignal>

#include <sys/prctl.h>
#include <sys/signalfd.h>
#include <unistd.h>

namespace sim::port {
namespace {

using protocol::base::Duration;
using protocol::base::Instant;

sigset_t ending_signals() {
  sigset_t set;
  ::sigemptyset(&set);
  for (const int signal : {SIGTERM, SIGINT, SIGHUP}) ::sigaddset(&set, signal);
  return set;
}

// The descriptor that tells of signals, for as long as it is served.
class Signals {
 public:
  explicit Signals(Loop& loop) : loop_{loop} {
    const sigset_t ending = ending_signals();
    fd_ = ::signalfd(-1, &ending, SFD_CLOEXEC | SFD_NONBLOCK);
    if (fd_ >= 0) loop_.watch(fd_, Loop::Wish::kRead, [this] { read(); });
  }
  ~Signals() {
    loop_.forget(fd_);
    if (fd_ >= 0) ::close(fd_);
  }
  Signals(const Signals&) = delete;
  Signals& operator=(const Signals&) = delete;

  [[nodiscard]] bool ready() const { return fd_ >= 0; }
  [[nodiscard]] int caught() const { return caught_; }

 private:
  void read() {
    signalfd_siginfo info{};
    if (::read(fd_, &info, sizeof info) == sizeof info) caught_ = static_cast<int>(info.ssi_signo);
  }

  Loop& loop_;
  int fd_ = -1;
  int caught_ = 0;
};

}  // namespace

void hold_signals() {
  const sigset_t ending = ending_signals();
  ::sigprocmask(SIG_BLOCK, &ending, nullptr);
  (void)std::signal(SIGPIPE, SIG_IGN);
}

tl::expected<int, std::string> serve(const Served& served) {
  Signals signals{served.loop};
  if (!signals.ready()) return tl::unexpected(std::string{"can't wait for signals"});
  (void)::prctl(PR_SET_TIMERSLACK, 1UL);  // a silence is 1.75 ms: the usual 50 us of slack would show

  std::vector<std::optional<Instant>> due(served.errands.size(), Instant{});
  for (;;) {
    const Instant now = served.clock.now();
    std::optional<Instant> again;
    const auto by = [&again](std::optional<Instant> at) {
      if (at && (!again || *at < *again)) again = at;
    };
    for (const auto& outlet : served.outlets) {
      if (const auto next = outlet->next(); next && *next <= now) outlet->go_on();
      by(outlet->next());
    }
    for (std::size_t i = 0; i < served.errands.size(); ++i) {
      if (due[i] && *due[i] <= now) due[i] = served.errands[i](now);
      by(due[i]);
    }
    if (served.over) return 0;
    std::optional<Duration> wait;
    if (again) wait = std::max(Duration{}, *again - served.clock.now());
    if (const auto waited = served.loop.wait(wait); !waited) return tl::unexpected(waited.error());
    if (signals.caught() != 0) return signals.caught();
  }
}

}  // namespace sim::port
