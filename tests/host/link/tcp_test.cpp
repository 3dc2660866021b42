#include <csignal>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "tests/host/link/every_function.hpp"
#include "tests/host/link/pty.hpp"
#include "tests/host/link/tcp_unit.hpp"

using namespace host::link;
using protocol::base::milliseconds;
using protocol::base::Octets;

namespace {

Result<Session> open(const std::string& text, std::int64_t limit_ms = 10'000) {
  const auto link = parse_link(text);
  REQUIRE(link.has_value());
  static const CancelToken kNever;
  SessionOptions options;
  options.turnaround_max = milliseconds(50);
  options.listen_for = milliseconds(30);
  options.line.baud = 115200;
  options.writes = WriteLimits::none();
  return Session::open(*link, options, Deadline::after(milliseconds(limit_ms)), kNever);
}

std::string message(const Result<Session>& session) {
  return session ? "" : session.error().message;
}

void plain(int connection, const protocol::mbap::Adu& adu) {
  send_all(connection, adu.octets());
}

void reads_and_writes(const std::string& link) {
  CAPTURE(link);
  auto session = open(link);
  REQUIRE_MESSAGE(session.has_value(), message(session));
  for (std::uint16_t at = 0x00F0; at < 0x0110; ++at) {
    const auto words = session->read(Table::kInput, at, 20);
    REQUIRE_MESSAGE(words.has_value(), (words ? "" : words.error().message));
    CHECK(words->front() == at);
    CHECK(words->back() == at + 19);
  }
  const std::vector<std::uint16_t> all_ones(20, 0xFFFF);
  CHECK(session->write(0, all_ones).has_value());
  CHECK(session->read(Table::kHolding, 0, 20) == all_ones);
  CHECK(session->identify() == KnownDevice{}.objects);
  ask_every_function(*session, /*serial=*/false);
  if (link.starts_with("mbtcp:")) {
    const auto sent = session->statistics().counts.octets_sent;
    const auto all = session->broadcast(protocol::pdu::write_single_register(0, 1));
    REQUIRE_FALSE(all.has_value());
    CHECK(all.error().fault == Fault::kNotAvailable);
    CHECK(session->statistics().counts.octets_sent == sent);
  }
  const auto refused = session->read(Table::kInput, 0x9000, 4);
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().fault == Fault::kRefused);
  CHECK(refused.error().exception_code == 2);
  CHECK(session->statistics().counts.frames_bad == 0);
  CHECK(session->statistics().counts.retries == 0);
}

}  // namespace

TEST_SUITE("host/link/tcp") {
  TEST_CASE("a unit is read and written over RTU in TCP and over Modbus/TCP, by IPv4 and IPv6") {
    const TcpUnit rtu{rtu_unit()};
    reads_and_writes("tcp://127.0.0.1:" + rtu.port());
    reads_and_writes("tcp://127.0.0.1:" + rtu.port() + "?own=yes");
    const TcpUnit mbap{mbap_unit(plain)};
    reads_and_writes("mbtcp://127.0.0.1:" + mbap.port());
    const TcpUnit rtu6{rtu_unit(), true};
    reads_and_writes("tcp://[::1]:" + rtu6.port());
    const TcpUnit mbap6{mbap_unit(plain), true};
    reads_and_writes("mbtcp://[::1]:" + mbap6.port());
  }

  TEST_CASE("answers of other transactions, doubled, late and in single octets never count") {
    int number = 0;
    std::vector<std::uint8_t> last;
    const TcpUnit unit{mbap_unit([&](int connection, const protocol::mbap::Adu& adu) {
      const Octets octets = adu.octets();
      if (!last.empty()) {
        send_all(connection, last);  // the one before once more
      }
      last.assign(octets.begin(), octets.end());
      std::vector<std::uint8_t> other = last;
      other[1] = static_cast<std::uint8_t>(other[1] + 1);  // a transaction nobody asked
      other.back() = 0x5A;
      send_all(connection, other);
      if (++number % 5 == 0) {
        return;  // lost; the next answer brings it, too late
      }
      for (const std::uint8_t octet : octets) {
        send_all(connection, Octets{&octet, 1});
      }
    })};
    auto session = open("mbtcp://127.0.0.1:" + unit.port());
    REQUIRE_MESSAGE(session.has_value(), message(session));
    for (std::uint16_t at = 0; at < 60; ++at) {
      const auto words = session->read(Table::kInput, at, 2);
      REQUIRE_MESSAGE(words.has_value(), (words ? "" : words.error().message));
      CHECK(words->front() == at);
    }
    CHECK(session->statistics().counts.retries > 5);
    CHECK(session->statistics().counts.frames_stale > 60);
  }

  TEST_CASE("a stream whose length can't be right is given up at once, and names the other framing") {
    const TcpUnit unit{[](int connection, const CancelToken& done) {
      each_read(connection, done, [&](Octets) {
        const std::vector<std::uint8_t> noise(64 * 1024, 0xFF);
        send_all(connection, noise);
        return true;
      });
    }};
    const auto session = open("mbtcp://127.0.0.1:" + unit.port());
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kNoisy);
    CHECK(session.error().exit_code == 69);
    CHECK(contains(session.error().remedy, "tcp://"));
  }

  TEST_CASE("a peer that floods the line ends within the deadline and holds nothing") {
    const TcpUnit unit{[](int connection, const CancelToken& done) {
      const std::vector<std::uint8_t> noise(64 * 1024, 0x55);
      const timeval limit{0, 100'000};
      (void)::setsockopt(connection, SOL_SOCKET, SO_SNDTIMEO, &limit, sizeof limit);
      while (!done.cancelled() && ::send(connection, noise.data(), noise.size(), MSG_NOSIGNAL) > 0) {
      }
    }};
    const auto session = open("tcp://127.0.0.1:" + unit.port() + "?own=yes", 2'000);
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kNoisy);
    const auto heard = open("tcp://127.0.0.1:" + unit.port(), 2'000);
    REQUIRE_FALSE(heard.has_value());
    CHECK(heard.error().fault == Fault::kForeignTraffic);
  }

  TEST_CASE("a silent unit behind TCP ends with 69 and advice that fits") {
    const TcpUnit unit{[](int connection, const CancelToken& done) {
      each_read(connection, done, [](Octets) { return true; });
    }};
    for (const std::string scheme : {"tcp", "mbtcp"}) {
      const auto session = open(scheme + "://127.0.0.1:" + unit.port());
      REQUIRE_FALSE(session.has_value());
      CHECK(session.error().fault == Fault::kSilent);
      CHECK(session.error().exit_code == 69);
      CHECK(contains(session.error().message, scheme + "://127.0.0.1:" + unit.port()));
      CHECK_FALSE(contains(session.error().message, "Bd"));
      CHECK(contains(session.error().remedy, "device server"));
    }
  }

  TEST_CASE("an answer that comes when a read has stopped waiting by itself counts as any") {
    int lates = 0;
    const TcpUnit unit{mbap_unit([&](int connection, const protocol::mbap::Adu& adu) {
      // Far within the time the session gives an answer, and either side of a read's own 20 ms.
      ::usleep(++lates % 2 == 0 ? 30'000 : 5'000);
      send_all(connection, adu.octets());
    })};
    auto session = open("mbtcp://127.0.0.1:" + unit.port());
    REQUIRE_MESSAGE(session.has_value(), message(session));
    for (std::uint16_t at = 0; at < 10; ++at) {
      const auto words = session->read(Table::kInput, at, 2);
      REQUIRE_MESSAGE(words.has_value(), (words ? "" : words.error().message));
      CHECK(words->front() == at);
    }
    CHECK(lates == 11);
    CHECK(session->statistics().counts.retries == 0);
  }

  TEST_CASE("a wish to stop from another thread ends the wait for an answer") {
    const TcpUnit unit{[](int connection, const CancelToken& done) {
      each_read(connection, done, [](Octets) { return true; });
    }};
    for (const std::string scheme : {"tcp", "mbtcp"}) {
      const auto link =
          parse_link(scheme + "://127.0.0.1:" + unit.port() + (scheme == "tcp" ? "?own=yes" : ""));
      REQUIRE(link.has_value());
      CancelToken cancel;
      std::thread stopper{[&] {
        ::usleep(50'000);
        cancel.cancel(SIGTERM);
      }};
      SessionOptions options;
      options.turnaround_max = milliseconds(60'000);
      const auto session = Session::open(*link, options, Deadline::after(milliseconds(60'000)), cancel);
      stopper.join();
      REQUIRE_FALSE(session.has_value());
      CHECK(session.error().fault == Fault::kCancelled);
      CHECK(session.error().exit_code == 143);
      CHECK(session.error().elapsed < milliseconds(30'000));
    }
  }

  TEST_CASE("a gateway that says that the unit is silent is no refusal of the unit") {
    const TcpUnit unit{[](int connection, const CancelToken& done) {
      protocol::mbap::Decoder decoder;
      each_read(connection, done, [&](Octets octets) {
        while (!octets.empty()) {
          if (decoder.push(octets) == protocol::mbap::Decoder::Outcome::kFrame) {
            const auto frame = decoder.frame();
            const std::vector<std::uint8_t> pdu{static_cast<std::uint8_t>(frame.pdu[0] | 0x80U), 0x0B};
            send_all(connection, protocol::mbap::seal(frame.transaction, frame.unit, pdu).octets());
          }
        }
        return true;
      });
    }};
    const auto session = open("mbtcp://127.0.0.1:" + unit.port());
    REQUIRE_FALSE(session.has_value());
    CHECK(session.error().fault == Fault::kSilent);
    CHECK(session.error().exception_code == 0x0B);
    CHECK(contains(session.error().message, "gateway"));
  }

  TEST_CASE("nobody at the port is 69, a closed or reset connection 74") {
    std::uint16_t free_port = 0;
    {
      const Listener listener;
      free_port = listener.port;
    }
    const auto refused = open("tcp://127.0.0.1:" + std::to_string(free_port));
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().fault == Fault::kConnectionRefused);
    CHECK(refused.error().exit_code == 69);
    CHECK(contains(refused.error().message, "refused"));

    for (const bool reset : {false, true}) {
      CAPTURE(reset);
      const TcpUnit unit{[reset](int connection, const CancelToken& done) {
        each_read(connection, done, [&](Octets) { return false; });
        const linger at_once{reset ? 1 : 0, 0};
        (void)::setsockopt(connection, SOL_SOCKET, SO_LINGER, &at_once, sizeof at_once);
      }};
      const auto gone = open("mbtcp://127.0.0.1:" + unit.port());
      REQUIRE_FALSE(gone.has_value());
      CHECK(gone.error().fault == Fault::kGone);
      CHECK(gone.error().exit_code == 74);
      CHECK(contains(gone.error().remedy, "one client"));
    }
  }

  TEST_CASE("a connection that was lost is taken up again, with everything proven anew") {
    const TcpUnit unit{[](int connection, const CancelToken& done) {
      KnownDevice device;
      protocol::mbap::Decoder decoder;
      int answers = 0;
      each_read(connection, done, [&](Octets octets) {
        while (!octets.empty()) {
          if (decoder.push(octets) == protocol::mbap::Decoder::Outcome::kFrame) {
            const auto frame = decoder.frame();
            plain(connection, protocol::mbap::seal(frame.transaction, frame.unit,
                                                   protocol::session::answer(frame.pdu, device).octets()));
          }
        }
        return ++answers < 3;
      });
    }};
    auto session = open("mbtcp://127.0.0.1:" + unit.port());
    REQUIRE_MESSAGE(session.has_value(), message(session));
    Result<std::vector<std::uint16_t>> words = std::vector<std::uint16_t>{};
    for (int i = 0; i < 4 && words; ++i) {
      words = session->read(Table::kInput, 7, 1);
    }
    REQUIRE_FALSE(words.has_value());
    CHECK(words.error().fault == Fault::kGone);
    const auto before = session->statistics().counts.transactions;
    REQUIRE(session->reopen().has_value());
    CHECK(session->reopened() == 1);
    CHECK(session->statistics().counts.transactions > before);
    CHECK(session->read(Table::kInput, 9, 1) == std::vector<std::uint16_t>{9});
    CHECK(unit.clients() == 2);
  }
}
