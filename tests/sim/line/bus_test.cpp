#include "sim/line/bus.hpp"

#include <doctest/doctest.h>

#include "protocol/pdu/request.hpp"
#include "protocol/rtu/frame.hpp"

namespace {

using namespace sim::line;
using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;
using protocol::pdu::ExceptionCode;
using Octets = std::vector<std::uint8_t>;

constexpr Instant kStart = Instant{} + milliseconds(1'000);

// Every register reads as `word`.
class Constant final : public protocol::session::Device {
 public:
  explicit Constant(std::uint16_t word) : word_{word} {}
  ExceptionCode read_registers(protocol::session::Table, std::uint16_t,
                               protocol::base::WordSink words) override {
    for (std::size_t i = 0; i < words.size(); ++i) words.set(i, word_);
    return ExceptionCode::kNone;
  }
  ExceptionCode write_registers(std::uint16_t, protocol::base::Words) override {
    return ExceptionCode::kNone;
  }
  protocol::session::Object identification(std::uint8_t) override { return {}; }

 private:
  std::uint16_t word_;
};

Octets question(std::uint8_t address, std::uint16_t count = 1) {
  const auto adu = protocol::rtu::seal(address, protocol::pdu::read_input_registers(0x140, count).octets());
  return {adu.octets().begin(), adu.octets().end()};
}

// Asks, and lives on until nothing is to come; what the host's port handed on, and when.
struct Heard {
  Octets octets;
  Instant first{}, last{};
};
Heard ask(Bus& bus, const Octets& octets, Instant at) {
  Heard heard;
  bus.from_host(octets, at);
  for (std::optional<Instant> next = at; next; next = bus.next()) {
    bus.run(*next);
    const Octets piece = bus.at_host(*next);
    if (piece.empty()) continue;
    if (heard.octets.empty()) heard.first = *next;
    heard.last = *next;
    heard.octets.insert(heard.octets.end(), piece.begin(), piece.end());
  }
  return heard;
}

std::uint16_t word_in(const Octets& answer) {
  return answer.size() == 7 && protocol::rtu::crc_holds(answer)
             ? static_cast<std::uint16_t>(answer[3] << 8 | answer[4])
             : 0;
}

BusSettings paced(std::uint32_t baud) {
  BusSettings settings;
  settings.wire = {{baud, Parity::kEven, 1}, {baud, Parity::kEven, 1}, true};
  return settings;
}

}  // namespace

TEST_SUITE("sim/line/bus") {
  TEST_CASE("an answer takes its wire time, the silence and the turnaround, to the microsecond") {
    // 8 octets ask, 5 + 2n answer. Eleven bits a character; t3.5 is 3.5 of them up to 19200 Bd, then 1.75 ms.
    for (const std::uint32_t baud : {300U, 1'200U, 9'600U, 19'200U, 115'200U, 1'000'000U}) {
      for (const std::uint16_t count : {std::uint16_t{1}, std::uint16_t{125}}) {
        CAPTURE(baud);
        CAPTURE(count);
        BusSettings settings = paced(baud);
        settings.turnaround = milliseconds(2);
        Bus bus{settings};
        Constant unit{7};
        bus.add(1, unit);
        const Heard heard = ask(bus, question(1, count), kStart);
        REQUIRE(heard.octets.size() == 5U + 2U * count);
        const double character_us = 11e6 / baud;
        const double gap_us = baud > 19'200 ? 1'750 : 3.5 * character_us;
        const double limit = (8.0 + static_cast<double>(heard.octets.size())) * character_us + gap_us + 2'000;
        // Request, silence and answer are each rounded up.
        CHECK(static_cast<double>((heard.last - kStart).count()) >= limit);
        CHECK(static_cast<double>((heard.last - kStart).count()) <= limit + 3);
      }
    }
  }

  TEST_CASE("being looked at late changes nothing of when things happened") {
    Bus bus{paced(9'600)};
    Constant unit{7};
    bus.add(1, unit);
    bus.from_host(question(1), kStart);
    bus.run(kStart + milliseconds(500));
    CHECK(bus.at_host(kStart + milliseconds(500)).size() == 7);
    Bus twin{paced(9'600)};
    twin.add(1, unit);
    twin.from_host(question(1), kStart);
    twin.run(kStart + milliseconds(12));  // 9.17 ms the request, 4.01 the silence
    twin.run(kStart + milliseconds(14));
    const auto due = twin.next_at_host();
    REQUIRE(due);
    // (8 + 7) characters and 3.5
    CHECK((*due - kStart).count() == doctest::Approx(18.5 * 11e6 / 9'600).epsilon(1e-4));
  }

  TEST_CASE("a request inside t3.5 is joined to the frame before, and neither is answered") {
    for (const auto& [gap_us, answered] : {std::pair{1'000, 0U}, {1'700, 0U}, {1'800, 2U}}) {
      CAPTURE(gap_us);
      Bus bus{paced(115'200)};
      Constant one{7};
      Constant two{8};
      bus.add(1, one);
      bus.add(2, two);
      // To unit 9, which isn't there: nobody answers, and the next request may follow after t3.5.
      const Octets garbage{0x55, 0xAA, 0x00, 0x12};
      bus.from_host(garbage, kStart);
      const Instant end = kStart + microseconds(382);  // four characters: 4 x 11 / 115200
      const Heard heard = ask(bus, question(1), end + microseconds(gap_us));
      CHECK(heard.octets.size() == (answered != 0 ? 7 : 0));
      CHECK(bus.hits().gaps_short == (answered != 0 ? 0 : 1));
    }
  }

  TEST_CASE("a request inside t3.5 of an answer is joined to it, and to the next one that comes too early") {
    // Source: MODBUS over Serial Line V1.02, 2.5.1.1: frames are apart by at least 3.5 characters.
    for (const auto& [gap_us, answered] : {std::pair{200, false}, {1'700, false}, {1'800, true}}) {
      CAPTURE(gap_us);
      Bus bus{paced(115'200)};
      Constant one{7};
      bus.add(1, one);
      const Heard first = ask(bus, question(1), kStart);
      REQUIRE(word_in(first.octets) == 7);
      const Instant early = first.last + microseconds(gap_us);
      CHECK(word_in(ask(bus, question(1), early).octets) == (answered ? 7 : 0));
      CHECK(bus.hits().gaps_short == (answered ? 0 : 1));
      // 764 us the request; behind it the line is quiet for half a millisecond, then for long enough.
      if (!answered) CHECK(ask(bus, question(1), early + microseconds(1'264)).octets.empty());
      CHECK(word_in(ask(bus, question(1), early + milliseconds(20)).octets) == 7);
    }
  }

  TEST_CASE("only the unit that is asked answers, of as many as a bus takes") {
    std::vector<std::unique_ptr<Constant>> units;
    Bus bus{{}};
    for (int address = 1; address <= 247; ++address) {
      units.push_back(std::make_unique<Constant>(static_cast<std::uint16_t>(1'000 + address)));
      bus.add(static_cast<std::uint8_t>(address), *units.back());
    }
    Instant at = kStart;
    for (const auto address : std::to_array<std::uint8_t>({1, 17, 100, 247, 1})) {
      CAPTURE(address);
      at += milliseconds(20);
      CHECK(word_in(ask(bus, question(address), at).octets) == 1'000 + address);
    }
    CHECK(bus.answers() == 5);
  }

  TEST_CASE("two units of one address answer at once, and what comes is neither's") {
    for (const bool pace : {false, true}) {
      CAPTURE(pace);
      BusSettings settings = paced(115'200);
      settings.wire.paced = pace;
      Bus bus{settings};
      Constant one{0x1234};
      Constant two{0x0ACE};
      bus.add(1, one);
      const std::size_t twin = bus.add(1, two);
      const Heard clash = ask(bus, question(1), kStart);
      CHECK(clash.octets.size() == 7);
      CHECK_FALSE(protocol::rtu::crc_holds(clash.octets));
      CHECK(bus.hits().collisions == 1);
      bus.attach(twin, false);
      CHECK(word_in(ask(bus, question(1), kStart + milliseconds(50)).octets) == 0x1234);
      CHECK(bus.hits().collisions == 1);
    }
  }

  TEST_CASE("of two units of one address one is a little later, and even equal answers come out garbled") {
    Bus bus{paced(115'200)};
    Constant one{0x1234};
    Constant two{0x1234};
    bus.add(1, one);
    StationFault late;
    late.lag = microseconds(300);
    bus.set_fault(bus.add(1, two), late);
    const Heard clash = ask(bus, question(1), kStart);
    CHECK(clash.octets.size() > 7);
    CHECK(clash.octets.size() < 14);
    CHECK_FALSE(protocol::rtu::crc_holds({clash.octets.data(), 7}));
    CHECK(bus.hits().collisions == 1);
  }

  TEST_CASE(
      "a mute unit, one with its wires exchanged and one set to another speed give no answer; mended "
      "they do") {
    StationFault mute;
    mute.mute = true;
    StationFault swapped;
    swapped.swapped = true;
    StationFault slow;
    slow.format = CharacterFormat{9'600, Parity::kEven, 1};
    StationFault odd;
    odd.format = CharacterFormat{115'200, Parity::kOdd, 1};
    for (const StationFault& fault : {mute, swapped, slow, odd}) {
      for (const bool pace : {false, true}) {
        Bus bus{[pace] {
          BusSettings settings = paced(115'200);
          settings.wire.paced = pace;
          return settings;
        }()};
        Constant one{7};
        Constant two{8};
        const std::size_t bad = bus.add(1, one);
        bus.add(2, two);
        bus.set_fault(bad, fault);
        CHECK(word_in(ask(bus, question(1), kStart).octets) == 0);
        CHECK(word_in(ask(bus, question(2), kStart + milliseconds(100)).octets) == 8);
        if (fault.format) CHECK(bus.hits().octets_damaged > 0);
        bus.set_fault(bad, {});
        CHECK(word_in(ask(bus, question(1), kStart + milliseconds(200)).octets) == 7);
      }
    }
  }

  TEST_CASE("a port that is set anew again and again costs no more than once") {
    Bus bus{paced(115'200)};
    Constant unit{7};
    const std::size_t station = bus.add(1, unit);
    Instant at = kStart;
    for (std::uint32_t baud = 300; baud < 60'000; baud += 997) {
      StationFault fault;
      fault.format = CharacterFormat{baud, Parity::kEven, 1};
      bus.set_fault(station, fault);
      at += milliseconds(5'000);
      CHECK(word_in(ask(bus, question(1), at).octets) == 0);
    }
    bus.set_fault(station, {});
    CHECK(word_in(ask(bus, question(1), at + milliseconds(5'000)).octets) == 7);
    CHECK(bus.lines() == 2);
  }

  TEST_CASE("a host of another speed is not understood, until it speaks at the unit's") {
    Bus bus{paced(19'200)};
    Constant unit{7};
    bus.add(1, unit);
    bus.set_host({115'200, Parity::kEven, 1});
    CHECK(word_in(ask(bus, question(1), kStart).octets) == 0);
    bus.set_host({19'200, Parity::kEven, 1});
    CHECK(word_in(ask(bus, question(1), kStart + milliseconds(100)).octets) == 7);
    bus.set_host({19'400, Parity::kEven, 1});  // 1 % off: every receiver takes that
    CHECK(word_in(ask(bus, question(1), kStart + milliseconds(200)).octets) == 7);
  }

  TEST_CASE("a host that went takes what it left half said with it") {
    Bus bus{{}};
    Constant unit{7};
    bus.add(1, unit);
    bus.from_host(Octets{0x01, 0x04}, kStart);
    bus.run(kStart);
    bus.host_gone();
    CHECK_FALSE(bus.next());
    CHECK(word_in(ask(bus, question(1), kStart + microseconds(10)).octets) == 7);
  }

  TEST_CASE(
      "a fault tells when it acts: at what it can't hear, at an answer that doesn't leave, at one too many") {
    Constant device{0x1234}, other{0x4321};
    Bus bus{{}};
    const std::size_t station = bus.add(1, device);
    const std::size_t second = bus.add(1, other);
    bus.attach(second, false);
    std::vector<std::pair<std::size_t, Acted>> told;
    bus.when_fault_acts([&told](std::size_t which, Acted how) { told.emplace_back(which, how); });
    Instant at = kStart;
    const auto asks = [&] {
      told.clear();
      at = at + milliseconds(100);
      return ask(bus, question(1), at).octets.size();
    };
    CHECK(asks() == 7);
    CHECK(told.empty());

    using One = std::pair<std::size_t, Acted>;
    StationFault fault;
    fault.mute = true;
    bus.set_fault(station, fault);
    CHECK(asks() == 0);
    CHECK(told == std::vector{One{station, Acted::kMute}});

    fault = {};
    fault.swapped = true;
    bus.set_fault(station, fault);
    CHECK(asks() == 0);
    REQUIRE_FALSE(told.empty());
    CHECK(told.front() == One{station, Acted::kSwapped});

    fault = {};
    fault.format = CharacterFormat{9'600, Parity::kNone, 1};
    bus.set_fault(station, fault);
    CHECK(asks() == 0);
    CHECK(told == std::vector{One{station, Acted::kFormat}});

    bus.set_fault(station, {});
    fault = {};
    fault.intruder = true;
    bus.set_fault(second, fault);
    bus.attach(second, true);
    (void)asks();
    CHECK(told == std::vector{One{second, Acted::kIntruder}});
  }
}
