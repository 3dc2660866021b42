#include <algorithm>
#include <filesystem>
#include <functional>
#include <future>
#include <memory>
#include <string>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "tests/host/link/live_unit.hpp"
#include "tests/host/link/tcp_unit.hpp"

using namespace host::link;
using protocol::base::milliseconds;
namespace fs = std::filesystem;

namespace {

constexpr int kAnswersMax = 6;

struct Held {
  std::ptrdiff_t descriptors = of("/proc/self/fd");
  std::ptrdiff_t threads = of("/proc/self/task");

 private:
  static std::ptrdiff_t of(const char* folder) {
    return std::distance(fs::directory_iterator{folder}, fs::directory_iterator{});
  }
};

Session opened(const std::string& text, const CancelToken& stop) {
  const auto link = parse_link(text);
  REQUIRE(link.has_value());
  auto session = Session::open(*link, {}, Deadline::after(milliseconds(120'000)), stop);
  REQUIRE_MESSAGE(session.has_value(), (session ? "" : session.error().message));
  return *std::move(session);
}

// Reads until the port is gone, puts a new unit behind its name and takes it up again; so many `times`, or as
// many as it went well.
int reopened(Session& session, int times, const std::function<void()>& renew) {
  for (int done = 0; done < times; ++done) {
    auto words = session.read(Table::kInput, 0, 20);
    for (std::uint16_t at = 1; words && at < 20; ++at) words = session.read(Table::kInput, at, 20);
    if (words || words.error().fault != Fault::kGone) return done;
    renew();
    if (!session.reopen()) return done;
  }
  return times;
}

/// A folder of links to terminals, each a unit that hangs up in the middle of an answer.
class Adapter {
 public:
  Adapter() {
    REQUIRE(::mkdtemp(folder_) != nullptr);
    renew();
  }
  ~Adapter() {
    std::error_code none;
    fs::remove_all(folder_, none);
  }
  Adapter(const Adapter&) = delete;
  Adapter& operator=(const Adapter&) = delete;

  void renew() {
    fs::remove(name());
    unit_.reset();
    unit_ = std::make_unique<LiveUnit>(answering(kAnswersMax));
    fs::create_symlink(unit_->pty.path, name());
  }
  [[nodiscard]] fs::path name() const { return fs::path{folder_} / "adapter"; }

 private:
  char folder_[32] = "/tmp/strapline-test-XXXXXX";
  std::unique_ptr<LiveUnit> unit_;
};

}  // namespace

TEST_SUITE("host/link/reopening") {
  TEST_CASE("a terminal and a connection taken up again sixty times leave no descriptor and no thread") {
    constexpr int kTimes = 60;
    const CancelToken stop;
    Adapter adapter;
    int answers = 0;
    const TcpUnit unit{mbap_unit([&](int connection, const protocol::mbap::Adu& adu) {
      send_all(connection, adu.octets());
      if (++answers % kAnswersMax == 0) (void)::shutdown(connection, SHUT_RDWR);
    })};
    Session terminal = opened("serial:" + adapter.name().string() + "?baud=115200&own=yes", stop);
    Session connection = opened("mbtcp://127.0.0.1:" + unit.port(), stop);
    // Both at once, for each waits a while before it tries again.
    const auto both = [&](int times) {
      auto other = std::async(std::launch::async, [&] { return reopened(connection, times, [] {}); });
      CHECK(reopened(terminal, times, [&] { adapter.renew(); }) == times);
      CHECK(other.get() == times);
    };
    both(2);
    const Held before;
    both(kTimes);
    Held after;
    // A thread that was joined is listed for a moment more.
    for (int tries = 0; tries < 1000 && after.threads > before.threads; ++tries) {
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
      after = Held{};
    }
    CHECK(after.descriptors == before.descriptors);
    CHECK(after.threads <= before.threads);
    CHECK(terminal.reopened() == kTimes + 2);
    CHECK(connection.reopened() == kTimes + 2);
  }
}
