#include <csignal>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <thread>

#include <sys/resource.h>

#include "host/link/serial_handle.hpp"
#include "host/link/session.hpp"
#include "tests/host/link/every_function.hpp"
#include "tests/host/link/live_unit.hpp"
#include "tests/host/link/pty.hpp"

using namespace host::link;
using protocol::base::Duration;
using protocol::base::milliseconds;

namespace {

LinkUrl link_to(const Pty& pty, const std::string& query) {
  const auto link = parse_link("serial:" + pty.path + query);
  REQUIRE(link.has_value());
  return *link;
}

// Time on a processor, the kernel's part of it too.
Duration busy(const rusage& used) {
  const auto of = [](const timeval& time) { return Duration{time.tv_sec * 1'000'000 + time.tv_usec}; };
  return of(used.ru_utime) + of(used.ru_stime);
}

std::string message(const Result<Session>& session) {
  return session ? "" : session.error().message;
}

/// A name for a terminal, until it is removed.
class NameOf {
 public:
  explicit NameOf(const std::string& path) {
    REQUIRE(::mkdtemp(folder_) != nullptr);
    std::filesystem::create_symlink(path, name());
  }
  ~NameOf() {
    std::error_code none;
    std::filesystem::remove_all(folder_, none);
  }
  NameOf(const NameOf&) = delete;
  NameOf& operator=(const NameOf&) = delete;

  void remove() const { std::filesystem::remove(name()); }
  [[nodiscard]] LinkUrl link() const { return *parse_link("serial:" + name() + "?own=yes"); }

 private:
  [[nodiscard]] std::string name() const { return std::string{folder_} + "/adapter"; }

  char folder_[32] = "/tmp/strapline-test-XXXXXX";
};

}  // namespace

TEST_SUITE("host/link/session on a pseudo-terminal") {
  TEST_CASE("a unit is read, written and identified") {
    LiveUnit unit{answering()};
    CancelToken stop;
    SessionOptions options;
    options.writes = WriteLimits::none();
    auto session = Session::open(link_to(unit.pty, "?baud=115200&own=yes"), options,
                                 Deadline::after(milliseconds(10'000)), stop);
    REQUIRE_MESSAGE(session.has_value(), message(session));
    CHECK(session->port() == unit.pty.path);
    CHECK(session->line() == LineSettings{115200, Parity::kEven, 1});
    // Addresses and counts whose octets include FF, which the terminal doubles.
    for (std::uint16_t at = 0x00F0; at < 0x0110; ++at) {
      const auto words = session->read(Table::kInput, at, static_cast<std::uint16_t>(10 + at % 7));
      REQUIRE_MESSAGE(words.has_value(), (words ? "" : words.error().message));
      CHECK(words->front() == at);
      CHECK(words->back() == at + 9 + at % 7);
    }
    const std::vector<std::uint16_t> all_ones(20, 0xFFFF);
    CHECK(session->write(0, all_ones).has_value());
    CHECK(session->read(Table::kHolding, 0, 20) == all_ones);
    const auto objects = session->identify();
    REQUIRE(objects.has_value());
    CHECK(*objects == KnownDevice{}.objects);
    ask_every_function(*session, /*serial=*/true);
    CHECK(session->statistics().counts.frames_bad == 0);
    CHECK(session->statistics().elapsed > Duration{});
  }

  TEST_CASE("a silent unit ends with 69 inside the deadline, the port as it was") {
    const Pty pty;
    termios before{};
    REQUIRE(::tcgetattr(pty.master, &before) == 0);
    CancelToken stop;
    SessionOptions options;
    options.line = {9600, Parity::kOdd, 1};
    const auto begun = monotonic_now();
    const auto session =
        Session::open(link_to(pty, "?own=yes"), options, Deadline::after(milliseconds(300)), stop);
    CHECK(monotonic_now() - begun < milliseconds(2000));
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kSilent);
    CHECK(session.error().exit_code == 69);
    CHECK(contains(session.error().message, "unit 1 on " + pty.path + " at 9600 Bd 8O1"));
    termios after{};
    REQUIRE(::tcgetattr(pty.master, &after) == 0);
    CHECK(after.c_lflag == before.c_lflag);
    CHECK(after.c_iflag == before.c_iflag);
    CHECK(after.c_cflag == before.c_cflag);
    // Asked it was, and more than once.
    std::uint8_t asked[512];
    CHECK(::read(pty.master, asked, sizeof asked) >= 8);
  }

  TEST_CASE("a signal ends a wait in progress within 200 ms and the port is free again") {
    static CancelToken stop;
    const Pty pty;
    termios before{};
    REQUIRE(::tcgetattr(pty.master, &before) == 0);
    struct sigaction old{};
    struct sigaction action{};
    action.sa_handler = [](int signal) { stop.cancel(signal); };
    REQUIRE(::sigaction(SIGINT, &action, &old) == 0);
    // Listening for a minute, with nothing to wake it but the signal.
    SessionOptions options;
    options.listen_for = milliseconds(60'000);
    protocol::base::Instant signalled{};
    std::thread later{[&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(60));
      signalled = monotonic_now();
      (void)::kill(::getpid(), SIGINT);
    }};
    const auto session =
        Session::open(link_to(pty, ""), options, Deadline::after(milliseconds(60'000)), stop);
    const auto ended = monotonic_now();
    later.join();
    REQUIRE(::sigaction(SIGINT, &old, nullptr) == 0);
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kCancelled);
    CHECK(session.error().exit_code == 130);
    CHECK(ended - signalled < milliseconds(200));
    termios after{};
    REQUIRE(::tcgetattr(pty.master, &after) == 0);
    CHECK(after.c_lflag == before.c_lflag);
    CHECK(after.c_iflag == before.c_iflag);
    CHECK(SerialHandle::open(pty.path, {}).has_value());
  }

  TEST_CASE("a unit that hangs up in the middle of an answer is gone at once") {
    LiveUnit unit{answering(/*answers_max=*/6)};
    CancelToken stop;
    auto session =
        Session::open(link_to(unit.pty, "?own=yes"), {}, Deadline::after(milliseconds(10'000)), stop);
    REQUIRE_MESSAGE(session.has_value(), message(session));
    Result<std::vector<std::uint16_t>> words = std::vector<std::uint16_t>{};
    for (std::uint16_t at = 0; words && at < 20; ++at) {
      words = session->read(Table::kInput, at, 20);
    }
    REQUIRE_FALSE(words.has_value());
    CHECK(words.error().fault == Fault::kGone);
    CHECK(words.error().exit_code == 74);
    CHECK(words.error().port == unit.pty.path);
    CHECK(words.error().register_address.has_value());
    CHECK(words.error().elapsed < milliseconds(1000));
    CHECK(session->read(Table::kInput, 0, 1).error().fault == Fault::kGone);
  }

  TEST_CASE("a port that comes back under its name is taken up again, at another node") {
    namespace fs = std::filesystem;
    char folder[] = "/tmp/strapline-test-XXXXXX";
    REQUIRE(::mkdtemp(folder) != nullptr);
    const fs::path name = fs::path{folder} / "adapter";
    auto first = std::make_unique<LiveUnit>(answering(/*answers_max=*/6));
    fs::create_symlink(first->pty.path, name);
    CancelToken stop;
    const auto link = parse_link("serial:" + name.string() + "?baud=115200&own=yes");
    REQUIRE(link.has_value());
    auto session = Session::open(*link, {}, Deadline::after(milliseconds(20'000)), stop);
    REQUIRE_MESSAGE(session.has_value(), message(session));
    Result<std::vector<std::uint16_t>> words = std::vector<std::uint16_t>{};
    for (std::uint16_t at = 0; words && at < 20; ++at) {
      words = session->read(Table::kInput, at, 20);
    }
    REQUIRE_FALSE(words.has_value());
    CHECK(words.error().fault == Fault::kGone);
    LiveUnit second{answering()};
    // For a while the name leads nowhere; that is not the end.
    fs::remove(name);
    std::thread later{[&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(150));
      fs::create_symlink(second.pty.path, name);
    }};
    const auto back = session->reopen();
    later.join();
    REQUIRE_MESSAGE(back.has_value(), (back ? "" : back.error().message));
    CHECK(session->reopened() == 1);
    CHECK(session->read(Table::kInput, 3, 4) == std::vector<std::uint16_t>{3, 4, 5, 6});
    fs::remove_all(folder);
  }

  TEST_CASE("a port lost while it is opened is waited for as one lost later") {
    namespace fs = std::filesystem;
    char folder[] = "/tmp/strapline-test-XXXXXX";
    REQUIRE(::mkdtemp(folder) != nullptr);
    const fs::path name = fs::path{folder} / "adapter";
    // The first words end in the middle of their answer.
    auto first = std::make_unique<LiveUnit>(answering(/*answers_max=*/1));
    fs::create_symlink(first->pty.path, name);
    LiveUnit second{answering()};
    std::thread later{[&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
      fs::remove(name);
      fs::create_symlink(second.pty.path, name);
    }};
    CancelToken stop;
    const auto link = parse_link("serial:" + name.string() + "?baud=115200&own=yes");
    REQUIRE(link.has_value());
    auto session = Session::open(*link, {}, Deadline::after(milliseconds(20'000)), stop);
    later.join();
    REQUIRE_MESSAGE(session.has_value(), message(session));
    CHECK(session->reopened() == 1);
    CHECK(session->read(Table::kInput, 3, 4) == std::vector<std::uint16_t>{3, 4, 5, 6});
    fs::remove_all(folder);
    // One that never comes back ends with the deadline, and says so.
    LiveUnit lost{answering(/*answers_max=*/1)};
    const NameOf own{lost.pty.path};
    std::thread unplugged{[&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(50));
      own.remove();
    }};
    const auto gone = Session::open(own.link(), {}, Deadline::after(milliseconds(500)), stop);
    unplugged.join();
    REQUIRE_FALSE(gone.has_value());
    CHECK(gone.error().exit_code == 69);
    CHECK(contains(gone.error().message, "did not come back"));
  }

  TEST_CASE("a port that does not come back ends with the deadline, without spinning") {
    LiveUnit unit{answering(/*answers_max=*/6)};
    // Under a name of its own: the next terminal may get the same number.
    const NameOf name{unit.pty.path};
    CancelToken stop;
    auto session = Session::open(name.link(), {}, Deadline::after(milliseconds(700)), stop);
    REQUIRE_MESSAGE(session.has_value(), message(session));
    Result<std::vector<std::uint16_t>> words = std::vector<std::uint16_t>{};
    for (std::uint16_t at = 0; words && at < 20; ++at) {
      words = session->read(Table::kInput, at, 20);
    }
    REQUIRE_FALSE(words.has_value());
    name.remove();
    rusage before{};
    rusage after{};
    REQUIRE(::getrusage(RUSAGE_THREAD, &before) == 0);
    const auto back = session->reopen();
    REQUIRE(::getrusage(RUSAGE_THREAD, &after) == 0);
    REQUIRE_FALSE(back.has_value());
    CHECK(back.error().fault == Fault::kOutOfTime);
    CHECK(contains(back.error().message, "did not come back"));
    // Waits, each ended by the scheduler: a spin would have none, or thousands, and no rest.
    CHECK(after.ru_nvcsw - before.ru_nvcsw > 0);
    CHECK(after.ru_nvcsw - before.ru_nvcsw < 100);
    CHECK(busy(after) - busy(before) < milliseconds(200));
    CHECK(session->reopened() == 0);
  }

  TEST_CASE("a talking line is left alone") {
    const Pty pty;
    CancelToken stop;
    SessionOptions options;
    options.listen_for = milliseconds(2'000);
    std::thread master{[&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
      (void)!::write(pty.master, "\x07\x03", 2);
    }};
    const auto session =
        Session::open(link_to(pty, ""), options, Deadline::after(milliseconds(10'000)), stop);
    master.join();
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kForeignTraffic);
    REQUIRE(::fcntl(pty.master, F_SETFL, O_NONBLOCK) == 0);
    std::uint8_t ours[64];
    CHECK(::read(pty.master, ours, sizeof ours) <= 0);
  }
}
