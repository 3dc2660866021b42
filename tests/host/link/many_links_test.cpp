#include <cerrno>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "tests/host/link/live_unit.hpp"
#include "tests/host/link/tcp_unit.hpp"

using namespace host::link;
using protocol::base::milliseconds;
using protocol::base::Octets;

namespace {

constexpr int kReads = 300;

struct Outcome {
  int right = 0;
  std::uint32_t retries = 0;
  Fault fault = Fault::kBrokenPrecondition;  // of the session that doesn't open
  bool opened = false;
};

// Opens a link and reads it in a thread of its own, as a program with many links does; each register of the
// unit holds its address.
std::thread reader(const std::string& link, const CancelToken& stop, protocol::base::Duration turnaround_max,
                   Outcome& outcome) {
  return std::thread{[=, &stop, &outcome] {
    const auto parsed = parse_link(link);
    if (!parsed) return;
    SessionOptions options;
    options.turnaround_max = turnaround_max;
    auto session = Session::open(*parsed, options, Deadline::after(milliseconds(60'000)), stop);
    outcome.opened = session.has_value();
    if (!session) {
      outcome.fault = session.error().fault;
      return;
    }
    for (int i = 0; i < kReads; ++i) {
      const auto at = static_cast<std::uint16_t>(7 * i);
      const auto words = session->read(Table::kInput, at, static_cast<std::uint16_t>(2 + i % 40));
      if (words && words->front() == at && words->back() == at + 1 + i % 40) ++outcome.right;
    }
    outcome.retries = session->statistics().counts.retries;
  }};
}

// Noise for as long as it is taken.
void flood(int end, const CancelToken& done) {
  const std::vector<std::uint8_t> noise(64 * 1024, 0xFF);
  (void)::fcntl(end, F_SETFL, O_NONBLOCK);
  while (true) {
    pollfd ends[2]{{end, POLLOUT, 0}, {done.fd(), POLLIN, 0}};
    if (::poll(ends, 2, -1) < 0 || ends[1].revents != 0) return;
    ssize_t taken = ::send(end, noise.data(), noise.size(), MSG_NOSIGNAL);
    if (taken < 0 && errno == ENOTSOCK) taken = ::write(end, noise.data(), noise.size());
    if (taken < 0 && errno != EAGAIN) return;
  }
}

// Hears, and says nothing.
void keep_silent(int end, const CancelToken& done) {
  each_read(end, done, [](Octets) { return true; });
}

enum class Manner : std::uint8_t { kAnswers, kFloods, kSilent };

struct Link {
  std::string url;
  Manner manner;
  Outcome outcome{};
};

}  // namespace

TEST_SUITE("host/link/many_links") {
  TEST_CASE("serial and TCP links of one process don't hold each other up, whatever one is sent") {
    const std::vector<Manner> manners{Manner::kAnswers, Manner::kAnswers, Manner::kFloods,
                                      Manner::kSilent,  Manner::kAnswers, Manner::kAnswers};
    std::vector<std::unique_ptr<TcpUnit>> sockets;
    std::vector<std::unique_ptr<LiveUnit>> terminals;
    std::vector<Link> links;
    sockets.reserve(manners.size());
    terminals.reserve(manners.size());
    links.reserve(2 * manners.size());
    const auto answer_mbap =
        mbap_unit([](int connection, const protocol::mbap::Adu& adu) { send_all(connection, adu.octets()); });
    for (const Manner manner : manners) {
      const auto otherwise = manner == Manner::kFloods ? flood : keep_silent;
      const bool answers = manner == Manner::kAnswers;
      sockets.push_back(std::make_unique<TcpUnit>(answers ? answer_mbap : otherwise));
      terminals.push_back(std::make_unique<LiveUnit>(answers ? answering() : otherwise));
      links.push_back({"mbtcp://127.0.0.1:" + sockets.back()->port(), manner});
      links.push_back({"serial:" + terminals.back()->pty.path + "?baud=115200&own=yes", manner});
    }
    // Those of silent units wait until all others are through, and would wait for long.
    const CancelToken never;
    CancelToken enough;
    std::vector<std::thread> waiting;
    std::vector<std::thread> reading;
    waiting.reserve(links.size());
    reading.reserve(links.size());
    for (Link& link : links) {
      if (link.manner != Manner::kSilent) continue;
      waiting.push_back(reader(link.url, enough, milliseconds(15'000), link.outcome));
    }
    for (Link& link : links) {
      if (link.manner == Manner::kSilent) continue;
      reading.push_back(reader(link.url, never, milliseconds(500), link.outcome));
    }
    for (std::thread& thread : reading) thread.join();
    enough.cancel(SIGTERM);
    for (std::thread& thread : waiting) thread.join();
    for (const Link& link : links) {
      CAPTURE(link.url);
      CHECK(link.outcome.opened == (link.manner == Manner::kAnswers));
      switch (link.manner) {
        case Manner::kAnswers:
          CHECK(link.outcome.right == kReads);
          CHECK(link.outcome.retries == 0);
          break;
        case Manner::kFloods: CHECK(link.outcome.fault == Fault::kNoisy); break;
        case Manner::kSilent: CHECK(link.outcome.fault == Fault::kCancelled); break;
      }
    }
  }
}
