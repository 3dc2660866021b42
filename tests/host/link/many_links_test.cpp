#include <memory>
#include <string>
#include <thread>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
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
std::thread reader(const std::string& link, const CancelToken& never, Outcome& outcome) {
  return std::thread{[link, &never, &outcome] {
    const auto parsed = parse_link(link);
    if (!parsed) return;
    SessionOptions options;
    options.turnaround_max = milliseconds(500);
    auto session = Session::open(*parsed, options, Deadline::after(milliseconds(20'000)), never);
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

void floods(int connection, const CancelToken& done) {
  const std::vector<std::uint8_t> noise(64 * 1024, 0xFF);
  const timeval limit{0, 100'000};
  (void)::setsockopt(connection, SOL_SOCKET, SO_SNDTIMEO, &limit, sizeof limit);
  while (!done.cancelled() && ::send(connection, noise.data(), noise.size(), MSG_NOSIGNAL) > 0) {
  }
}

}  // namespace

TEST_SUITE("host/link/many_links") {
  TEST_CASE("links of one process don't hold each other up, whatever one of them is sent") {
    std::vector<std::unique_ptr<TcpUnit>> units;
    units.reserve(8);
    for (int i = 0; i < 6; ++i) {
      units.push_back(std::make_unique<TcpUnit>(mbap_unit(
          [](int connection, const protocol::mbap::Adu& adu) { send_all(connection, adu.octets()); })));
    }
    units.push_back(std::make_unique<TcpUnit>(floods));
    units.push_back(std::make_unique<TcpUnit>([](int connection, const CancelToken& done) {
      each_read(connection, done, [](Octets) { return true; });  // hears, and says nothing
    }));
    const CancelToken never;
    std::vector<Outcome> outcomes(units.size());
    std::vector<std::thread> threads;
    threads.reserve(units.size());
    for (std::size_t i = 0; i < units.size(); ++i) {
      threads.push_back(reader("mbtcp://127.0.0.1:" + units[i]->port(), never, outcomes[i]));
    }
    for (std::thread& thread : threads) thread.join();
    for (std::size_t i = 0; i < 6; ++i) {
      CAPTURE(i);
      CHECK(outcomes[i].right == kReads);
      CHECK(outcomes[i].retries == 0);
    }
    CHECK_FALSE(outcomes[6].opened);
    CHECK(outcomes[6].fault == Fault::kNoisy);
    CHECK_FALSE(outcomes[7].opened);
    CHECK(outcomes[7].fault == Fault::kSilent);
  }
}
