#include "sim/port/loop.hpp"

#include <memory>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <sys/resource.h>
#include <sys/timerfd.h>
#include <unistd.h>

#include "sim/port/control.hpp"
#include "sim/port/listener.hpp"
#include "tests/sim/port/socket_client.hpp"
#include "tests/support/run_program.hpp"

using protocol::base::milliseconds;
using sim::port::Loop;
using tests::sim::port::SocketClient;

namespace {

// While it is there this program gets no descriptor beyond those it has.
class NoDescriptors {
 public:
  NoDescriptors() {
    REQUIRE(::getrlimit(RLIMIT_NOFILE, &before_) == 0);
    const int lowest = ::dup(STDERR_FILENO);
    REQUIRE(lowest >= 0);
    ::close(lowest);
    const rlimit none{static_cast<rlim_t>(lowest), before_.rlim_max};
    REQUIRE(::setrlimit(RLIMIT_NOFILE, &none) == 0);
  }
  ~NoDescriptors() { ::setrlimit(RLIMIT_NOFILE, &before_); }
  NoDescriptors(const NoDescriptors&) = delete;
  NoDescriptors& operator=(const NoDescriptors&) = delete;

 private:
  rlimit before_{};
};

// Turns a loop until a while has passed, once, and tells how often that was.
class While {
 public:
  explicit While(Loop& loop) : loop_{loop}, fd_{::timerfd_create(CLOCK_MONOTONIC, TFD_CLOEXEC)} {
    REQUIRE(fd_ >= 0);
    loop_.watch(fd_, Loop::Wish::kRead, [this] {
      over_ = true;
      loop_.change(fd_, Loop::Wish::kNothing);
    });
  }
  ~While() {
    loop_.forget(fd_);
    ::close(fd_);
  }
  While(const While&) = delete;
  While& operator=(const While&) = delete;

  std::uint64_t turns() {
    const std::uint64_t before = loop_.wakes();
    const itimerspec once{{}, {0, 200'000'000}};
    REQUIRE(::timerfd_settime(fd_, 0, &once, nullptr) == 0);
    while (!over_) REQUIRE(loop_.wait(std::nullopt));
    return loop_.wakes() - before;
  }

 private:
  Loop& loop_;
  int fd_;
  bool over_ = false;
};

// A listener whose clients are watched until they go.
struct Listening {
  Listening() {
    auto made = sim::port::Listener::make("0", loop, [this](int fd) {
      loop.watch(fd, Loop::Wish::kRead, [this, fd] { leave(fd); });
      taken.push_back(fd);
    });
    REQUIRE(made);
    listener = *std::move(made);
  }
  ~Listening() {
    while (!taken.empty()) leave(taken.front());
  }
  Listening(const Listening&) = delete;
  Listening& operator=(const Listening&) = delete;

  [[nodiscard]] std::string name() const { return "tcp://" + listener->address(); }
  void leave(int fd) {
    loop.forget(fd);
    ::close(fd);
    std::erase(taken, fd);
  }
  void turn() { REQUIRE(loop.wait(milliseconds(5'000))); }

  Loop loop;
  std::vector<int> taken;
  std::unique_ptr<sim::port::Listener> listener;
};

// One to see that there is no descriptor, one for the timer; a spinning loop turns thousands of times.
constexpr std::uint64_t kTurnsMax = 5;

}  // namespace

TEST_SUITE("sim/port/loop") {
  TEST_CASE("a listener that gets no descriptor for a client rests until one goes") {
    Listening listening;
    While little{listening.loop};
    const SocketClient first{listening.name()};
    listening.turn();
    const SocketClient second{listening.name()};
    const NoDescriptors none;
    CHECK(little.turns() <= kTurnsMax);
    REQUIRE(listening.taken.size() == 1);
    const int gone = listening.taken.front();
    listening.leave(gone);
    listening.turn();
    CHECK(listening.taken == std::vector{gone});  // its descriptor is the next one's
  }

  TEST_CASE("a listener that gets no descriptor for a client tries again after a rest") {
    Listening listening;
    const SocketClient client{listening.name()};
    {
      const NoDescriptors none;
      listening.turn();
      CHECK(listening.taken.empty());
    }
    for (int i = 0; i < 2 && listening.taken.empty(); ++i) listening.turn();
    CHECK(listening.taken.size() == 1);
  }

  TEST_CASE("a control socket that gets no descriptor rests as well") {
    const tests::support::TemporaryFolder folder;
    Loop loop;
    const auto control = sim::port::ControlSocket::make(
        folder.path() + "/hand", loop, [](std::string_view line) { return std::string{line}; });
    REQUIRE(control);
    While little{loop};
    const SocketClient client{folder.path() + "/hand"};
    client.send(std::string{"here\n"});
    {
      const NoDescriptors none;
      CHECK(little.turns() <= kTurnsMax);
    }
    // Rested, taken, and heard.
    for (int i = 0; i < 3; ++i) REQUIRE(loop.wait(milliseconds(2'000)));
    CHECK(client.line() == "here");
  }
}
