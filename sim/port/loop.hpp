#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "protocol/base/time.hpp"

namespace sim::port {

/// Waits for many descriptors at once and calls who asked for them. One thread, no tick: it sleeps until
/// something happens or a time the caller names.
class Loop {
 public:
  Loop();
  ~Loop();
  Loop(const Loop&) = delete;
  Loop& operator=(const Loop&) = delete;

  /// What `fd` is waited for, as epoll names it. `ready` may watch and forget any descriptor, its own too.
  enum class Wish : std::uint8_t { kNothing, kRead, kWrite, kBoth };
  using Ready = std::function<void()>;

  /// Precondition: `fd` is open and not watched.
  void watch(int fd, Wish wish, Ready ready);
  void change(int fd, Wish wish);
  /// Before the descriptor is closed. Harmless where it isn't watched.
  void forget(int fd);

  /// Accepts a client of the listening socket `fd`, which is watched: its descriptor, non-blocking; nothing
  /// where none is there. Where the system has no descriptor for one, `fd` rests until another is forgotten
  /// or kRest has passed: the client stays where it is, and would have the loop turn without an end.
  [[nodiscard]] std::optional<int> accept(int fd);

  static constexpr auto kRest = std::chrono::seconds{1};

  /// Sleeps until a descriptor is ready, or `longest` has passed (never where it says nothing), and calls
  /// what is to be called; sooner where a socket has rested enough. Errors   one line; the system is out of
  /// something.
  [[nodiscard]] tl::expected<void, std::string> wait(std::optional<protocol::base::Duration> longest);

  /// Times it woke.
  [[nodiscard]] std::uint64_t wakes() const { return wakes_; }

 private:
  struct Watched {
    int fd;
    Wish wish;
    Ready ready;
  };
  using Clock = std::chrono::steady_clock;

  void wake_resting();

  int epoll_;
  std::uint64_t wakes_ = 0;
  std::uint64_t next_ = 0;
  std::map<std::uint64_t, Watched> watched_;  // by a number that is never used twice
  std::map<int, std::uint64_t> numbers_;
  std::vector<int> resting_;
  Clock::time_point rested_at_{};  // when they have rested enough
};

}  // namespace sim::port
