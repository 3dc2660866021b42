#include "sim/port/serve.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>

#include <poll.h>
#include <sys/prctl.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include "protocol/session/server.hpp"

namespace sim::port {
namespace {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::session::Server;
using protocol::session::Step;

sigset_t ending_signals() {
  sigset_t set;
  ::sigemptyset(&set);
  for (const int signal : {SIGTERM, SIGINT, SIGHUP}) ::sigaddset(&set, signal);
  return set;
}

// The real clock as the unit's: it goes on from `start`.
class Clock {
 public:
  explicit Clock(Instant start) : start_{start} {}
  [[nodiscard]] Instant now() const {
    return start_ + std::chrono::duration_cast<Duration>(std::chrono::steady_clock::now() - began_);
  }

 private:
  Instant start_;
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
};

// Lets everything happen that is due, and returns when to look again.
Instant go_on(const Served& served, Server& server, Instant now) {
  served.unit.advance(now);
  server.received(served.line.at_unit(now), now);
  Step step = server.step(now);
  while (step.kind == Step::Kind::kSend) {
    served.line.from_unit(step.octets, now);
    step = server.step(now);
  }
  served.terminal.write(served.line.at_host(now));
  const Instant again = step.kind == Step::Kind::kWait ? step.until : Instant::max();
  return std::min(again, served.line.next().value_or(Instant::max()));
}

}  // namespace

void hold_signals() {
  const sigset_t ending = ending_signals();
  ::sigprocmask(SIG_BLOCK, &ending, nullptr);
}

tl::expected<int, std::string> serve(const Served& served) {
  const sigset_t ending = ending_signals();
  const int signals = ::signalfd(-1, &ending, SFD_CLOEXEC);
  if (signals < 0) return tl::unexpected(std::string{"can't wait for signals"});
  (void)::prctl(PR_SET_TIMERSLACK, 1UL);  // a silence is 1.75 ms: the usual 50 us of slack would show

  Server server{{served.address, served.timing, {}}, served.registers};
  const Clock clock{served.unit.now()};
  std::array<pollfd, 3> wishes{{{signals, POLLIN, 0},
                                {served.terminal.clients_fd(), POLLIN, 0},
                                {served.terminal.octets_fd(), POLLIN, 0}}};
  for (;;) {
    const Instant now = clock.now();
    const Instant again = go_on(served, server, now);
    const auto left = std::max(Duration{}, again == Instant::max() ? Duration{} : again - clock.now());
    const timespec wait{left.count() / 1'000'000, left.count() % 1'000'000 * 1'000};
    const int ready =
        ::ppoll(wishes.data(), wishes.size(), again == Instant::max() ? nullptr : &wait, nullptr);
    if (ready < 0 && errno != EINTR) {
      ::close(signals);
      return tl::unexpected(std::string{"can't wait for octets: "} +
                            std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
    }
    if (ready <= 0) continue;
    if ((wishes[0].revents & POLLIN) != 0) {
      signalfd_siginfo caught{};
      if (::read(signals, &caught, sizeof caught) == sizeof caught) {
        ::close(signals);
        return static_cast<int>(caught.ssi_signo);
      }
    }
    // Before the octets: what a client that has gone left half said must not be joined with the next one's.
    if ((wishes[1].revents & POLLIN) != 0 && served.terminal.last_client_gone()) {
      server.reset();
      served.line.clear();
    }
    if (wishes[2].revents != 0) {
      const auto octets = served.terminal.read();
      if (!octets) {
        ::close(signals);
        return tl::unexpected(octets.error());
      }
      served.line.from_host(*octets, clock.now());
    }
  }
}

}  // namespace sim::port
