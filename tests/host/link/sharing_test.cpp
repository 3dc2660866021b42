#include "host/link/sharing.hpp"

#include <cstdint>
#include <memory>
#include <vector>

#include <doctest/doctest.h>

#include "host/link/session.hpp"
#include "protocol/rtu/frame.hpp"
#include "tests/host/link/far_unit.hpp"

using namespace host::link;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::base::Octets;
using Bytes = std::vector<std::uint8_t>;

namespace {

const LineSettings kLine{19200, Parity::kEven, 1};

Bytes frame(std::uint8_t unit, const Bytes& pdu) {
  const auto adu = protocol::rtu::seal(unit, pdu);
  return {adu.octets().begin(), adu.octets().end()};
}

Bytes repeated(const Bytes& octets, int times) {
  Bytes all;
  for (int i = 0; i < times; ++i) all.insert(all.end(), octets.begin(), octets.end());
  return all;
}

Heard heard(unsigned answers, bool noisy) {
  Heard one;
  one.asked = true;
  one.answers = answers;
  one.noisy = noisy;
  return one;
}

Result<Session> opened(const FarUnit::Voice& voice) {
  auto port = std::make_unique<MemoryPort>(kLine);
  auto unit = std::make_shared<FarUnit>(*port, 1);
  unit->voice = voice;
  CancelToken stop;
  SessionOptions options;
  options.line = kLine;
  options.seed = 7;
  options.own_address = 0x0100;
  options.own_count = 2;
  auto session =
      Session::over(std::move(port), options, /*own=*/true, Deadline{Instant{milliseconds(60'000)}}, stop);
  if (!session) return session;
  const auto words = session->read(Table::kInput, 0x1000, 12);
  return words ? std::move(session) : Result<Session>{tl::unexpected{words.error()}};
}

}  // namespace

TEST_SUITE("host/link/sharing") {
  TEST_CASE("more answers than questions are certain, three times nothing but damage is likely") {
    Voices early_and_late;  // the answer to the first question comes with that to the second
    for (const auto& one : {heard(0, false), heard(2, false), heard(1, false)}) early_and_late.add(one);
    CHECK(early_and_late.sharing() == Sharing::kNo);
    Voices two;
    for (const auto& one : {heard(1, false), heard(2, false), heard(1, true)}) two.add(one);
    CHECK(two.sharing() == Sharing::kTwice);
    Heard different = heard(2, false);
    different.other = protocol::pdu::Response{};
    two.add(different);
    CHECK(two.sharing() == Sharing::kCertain);
    Voices damaged;
    damaged.add(heard(0, true));
    damaged.add(heard(0, true));
    CHECK(damaged.sharing() == Sharing::kNo);
    damaged.add(heard(0, true));
    CHECK(damaged.sharing() == Sharing::kLikely);
    Voices unasked;  // for the line was never quiet
    Heard talk;
    talk.noisy = true;
    for (int i = 0; i < 3; ++i) unasked.add(talk);
    CHECK(unasked.sharing() == Sharing::kNo);
    damaged.add(heard(0, false));
    CHECK(damaged.sharing() == Sharing::kNo);
  }

  TEST_CASE("units that answer each other without end are known by one frame again and again") {
    // The frame is the one of AP V1.1b3, 6.8.1: 08 00 00 A5 37.
    const Bytes echoed = frame(9, {0x08, 0x00, 0x00, 0xA5, 0x37});
    CHECK(answering_each_other(repeated(echoed, 3)) == std::uint8_t{9});
    CHECK_FALSE(answering_each_other(repeated(echoed, 2)).has_value());
    CHECK_FALSE(answering_each_other({}).has_value());
    Bytes in_the_middle = repeated(echoed, 4);
    in_the_middle.erase(in_the_middle.begin(), in_the_middle.begin() + 5);
    CHECK(answering_each_other(in_the_middle) == std::uint8_t{9});
    Bytes others = repeated(echoed, 2);
    const Bytes other = frame(9, {0x08, 0x00, 0x00, 0xA5, 0x38});
    others.insert(others.end(), other.begin(), other.end());
    CHECK_FALSE(answering_each_other(others).has_value());
    // Two words that go round at once.
    Bytes both = echoed;
    for (int i = 0; i < 3; ++i) {
      both.insert(both.end(), other.begin(), other.end());
      both.insert(both.end(), echoed.begin(), echoed.end());
    }
    CHECK(answering_each_other(both) == std::uint8_t{9});
    // A write is answered by its request as well, but by one unit to a master that may repeat it.
    CHECK_FALSE(answering_each_other(repeated(frame(9, {0x06, 0x00, 0x00, 0xA5, 0x37}), 5)).has_value());
    Bytes damaged = repeated(echoed, 3);
    for (std::size_t at = 7; at < damaged.size(); at += 8) damaged[at] ^= 1U;
    CHECK_FALSE(answering_each_other(damaged).has_value());
  }

  TEST_CASE("a session with two units of one address ends by saying so") {
    // The second answers when the first has done, and has another number in its register.
    const auto both = opened([](MemoryPort& port, Octets answer, Instant now) {
      Bytes pdu(answer.begin() + 1, answer.end() - 2);
      if (pdu[0] == 0x04) pdu.back() ^= 0x01U;
      port.deliver(answer, now);
      port.deliver(frame(answer[0], pdu), now + milliseconds(1));
    });
    REQUIRE_FALSE(both.has_value());
    CHECK(both.error().fault == Fault::kSharedAddress);
    CHECK(both.error().exit_code == 69);
    CHECK(both.error().message.find("address 1") != std::string::npos);
    // A line that says everything twice may be two of them.
    const auto twice = opened([](MemoryPort& port, Octets answer, Instant now) {
      port.deliver(answer, now);
      port.deliver(answer, now + milliseconds(1));
    });
    REQUIRE_FALSE(twice.has_value());
    CHECK(twice.error().fault == Fault::kSenseless);
    CHECK(twice.error().remedy.find("two units may share address 1, for answers come twice") == 0);
    // They talk over each other.
    const auto over_each_other = opened([](MemoryPort& port, Octets answer, Instant now) {
      Bytes together(answer.begin(), answer.end());
      for (std::size_t i = 1; i < together.size(); ++i) together[i] &= answer[i - 1];
      port.deliver(together, now);
    });
    REQUIRE_FALSE(over_each_other.has_value());
    CHECK(over_each_other.error().fault == Fault::kNoisy);
    CHECK(over_each_other.error().remedy.find("two units may share address 1") == 0);
    // A unit that only says nothing shares nothing.
    const auto silent = opened([](MemoryPort&, Octets, Instant) {});
    REQUIRE_FALSE(silent.has_value());
    CHECK(silent.error().fault == Fault::kSilent);
    CHECK(silent.error().remedy.find("share") == std::string::npos);
  }
}
