#include "sim/unit/arming.hpp"

#include <vector>

#include <doctest/doctest.h>

#include "protocol/session/answer.hpp"
#include "sim/unit/registers.hpp"
#include "tests/sim/elm_kit.hpp"

using protocol::base::milliseconds;
using sim::unit::Registers;
using sim::unit::Unit;
using tests::sim::elm_setup;
using tests::sim::live;

namespace {

using Pdu = std::vector<std::uint8_t>;

// Writes of settings.arm at 0420h, settings.brightness_permille at 0401h. The words are the CRC of "T-0001",
// padded to sixteen octets, and the boot number, by a bitwise division in another language.
constexpr std::uint16_t kArm = 0x0420, kBrightness = 0x0401;
constexpr std::uint16_t kBoot1 = 0x1C3A, kBoot2 = 0x1D7A;
constexpr std::uint16_t kOtherUnit = 0xDF3F;  // "T-0002", boot 1

class Bench {
 public:
  Bench() { live(unit_, milliseconds(10'000)); }

  Pdu write(std::uint16_t address, std::uint16_t word) {
    return ask({0x06, high(address), low(address), high(word), low(word)});
  }
  int read(std::uint16_t address) {
    const Pdu answer = ask({0x03, high(address), low(address), 0x00, 0x01});
    return answer.size() == 4 ? answer[2] * 256 + answer[3] : -1;
  }
  bool arm(std::uint16_t word = kBoot1) { return write(kArm, word).front() == 0x06; }
  bool writes(std::uint16_t permille) { return write(kBrightness, permille).front() == 0x06; }
  void wait(std::int64_t seconds) { live(unit_, milliseconds(seconds * 1'000)); }
  Pdu ask(const Pdu& request) {
    const protocol::session::Answer answer = protocol::session::answer(request, registers_);
    const auto octets = answer.octets();
    return {octets.begin(), octets.end()};
  }
  Unit& unit() { return unit_; }
  Registers& registers() { return registers_; }

 private:
  static std::uint8_t high(std::uint16_t word) { return static_cast<std::uint8_t>(word >> 8); }
  static std::uint8_t low(std::uint16_t word) { return static_cast<std::uint8_t>(word & 0xFFU); }

  Unit unit_{elm_setup()};
  Registers registers_{unit_};
};

const Pdu kRefusedValue{0x86, 0x03}, kRefused{0x86, 0x04};

}  // namespace

TEST_SUITE("sim/unit/arming") {
  TEST_CASE("a write is taken once this unit's word stands in settings.arm, and is read back") {
    Bench bench;
    CHECK(bench.read(kArm) == 0);
    CHECK(bench.write(kBrightness, 500) == kRefused);
    REQUIRE(bench.arm());
    CHECK(bench.read(kArm) == kBoot1);
    CHECK(bench.writes(500));
    CHECK(bench.read(kBrightness) == 500);
    CHECK(bench.write(kArm, 0).front() == 0x06);
    CHECK(bench.read(kArm) == 0);
    CHECK(bench.write(kBrightness, 600) == kRefused);
    CHECK(bench.read(kBrightness) == 500);
  }

  TEST_CASE("another unit's word, or another start's, is refused and disarms") {
    Bench bench;
    for (const std::uint16_t word : {kOtherUnit, kBoot2, std::uint16_t{1}, std::uint16_t{0xFFFC}}) {
      REQUIRE(bench.arm());
      CHECK(bench.write(kArm, word) == kRefusedValue);
      CHECK(bench.write(kBrightness, 500) == kRefused);
    }
  }

  TEST_CASE("the leave lapses with a reset, and the next start has a word of its own") {
    Bench bench;
    REQUIRE(bench.arm());
    bench.unit().reset();
    bench.wait(1);
    CHECK(bench.read(kArm) == 0);
    CHECK(bench.write(kBrightness, 500) == kRefused);
    CHECK_FALSE(bench.arm(kBoot1));
    CHECK(bench.arm(kBoot2));
    CHECK(bench.writes(500));
  }

  TEST_CASE("it lapses after ten minutes, however much is said meanwhile") {
    Bench bench;
    REQUIRE(bench.arm());
    for (int i = 0; i < 19; ++i) {
      bench.wait(30);
      CHECK(bench.read(kArm) == kBoot1);
    }
    CHECK(bench.writes(500));  // 9 min 30 s
    bench.wait(30);
    CHECK(bench.read(kArm) == 0);
    CHECK(bench.write(kBrightness, 600) == kRefused);
  }

  TEST_CASE("it lapses after a minute without a request, and when its link is known to be gone") {
    Bench bench;
    REQUIRE(bench.arm());
    bench.wait(59);
    CHECK(bench.read(kArm) == kBoot1);
    bench.wait(60);
    CHECK(bench.write(kBrightness, 500) == kRefused);
    REQUIRE(bench.arm());
    bench.registers().link_lost(0);
    CHECK(bench.write(kBrightness, 500) == kRefused);
  }

  TEST_CASE("each client has a leave of its own, which nothing another does gives, takes or keeps alive") {
    Bench bench;
    const auto as = [&bench](sim::unit::Asker asker) -> Bench& {
      bench.registers().asked_by(asker);
      return bench;
    };
    REQUIRE(as(1).arm());
    CHECK(as(2).read(kArm) == 0);
    CHECK(as(2).write(kBrightness, 500) == kRefused);
    CHECK(as(2).write(kArm, kOtherUnit) == kRefusedValue);
    CHECK(as(2).write(kArm, 0).front() == 0x06);
    CHECK(as(1).writes(500));
    REQUIRE(as(2).arm());
    CHECK(as(1).writes(501));
    bench.registers().link_lost(2);
    CHECK(as(2).write(kBrightness, 500) == kRefused);
    CHECK(as(1).writes(502));
    for (int i = 0; i < 3; ++i) {
      bench.wait(30);
      (void)as(2).read(kArm);
    }
    CHECK(as(1).write(kBrightness, 500) == kRefused);
  }

  TEST_CASE("arming is a write of one register by itself") {
    Bench bench;
    // settings.arm and the unused register behind it: no such address; latch and its neighbour likewise.
    CHECK(bench.ask({0x10, 0x04, 0x20, 0x00, 0x02, 0x04, 0x1C, 0x3A, 0x00, 0x00}) == Pdu{0x90, 0x02});
    CHECK(bench.read(kArm) == 0);
  }
}
