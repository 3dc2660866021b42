// The soak with teeth: a hundred thousand operations in virtual time against a line that answers late,
// twice, wrongly and from others. With every guard on not one wrong value may come; with any one of them
// off some must, or the guard would be there for nothing and this test would prove nothing.

#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>

#include <doctest/doctest.h>

#include "protocol/session/client_machine.hpp"
#include "tests/protocol/session/line.hpp"

namespace {

using namespace tests::session;
using protocol::session::AllGuards;
using protocol::session::Client;
using protocol::session::ClientSettings;

constexpr int kOperations = 100'000;

struct Tally {
  int right = 0;
  int refused = 0;  // ended as a failure
  int wrong = 0;
  std::string hits;
};

std::uint64_t seed() {
  static const std::uint64_t value = [] {
    const char* given = std::getenv("STRAPLINE_SEED");
    const std::uint64_t drawn = given != nullptr ? std::strtoull(given, nullptr, 0) : std::random_device{}();
    std::printf("soak: STRAPLINE_SEED=%llu\n", static_cast<unsigned long long>(drawn));
    return drawn;
  }();
  return value;
}

ClientSettings settings() {
  ClientSettings settings;
  settings.timing = {115200, 10};
  settings.turnaround_max = milliseconds(5);
  settings.adapter_latency_max = milliseconds(1);
  settings.margin = milliseconds(4);
  settings.seed = static_cast<std::uint32_t>(seed());
  return settings;
}

// Whether the words are the ones asked: each register holds its own address.
bool right(const protocol::pdu::Response& response, std::uint16_t address) {
  if (response.word_count() == 0) return false;
  for (std::uint16_t i = 0; i < response.word_count(); ++i) {
    if (response.word(i) != address + i) return false;
  }
  return true;
}

// Reads of two or three registers, so that shapes repeat as often as they can; on a line that echoes, as
// many writes, for only those look like their echo.
template <typename Guards>
Tally soak(const Mix& mix) {
  Line line{mix, seed()};
  Client<Guards> client{settings()};
  Instant now{};
  Tally tally;
  client.open(now);
  drive(client, line, now);
  for (int i = 0; i < kOperations; ++i) {
    const bool write = mix.echo && line.below(2) == 0;
    const auto address = static_cast<std::uint16_t>(0x1000 + line.below(0x8000));
    const auto word = static_cast<std::uint16_t>(line.below(0x10000));
    client.request(
        write ? protocol::pdu::write_single_register(AddressDevice::kScratch, word)
              : protocol::pdu::read_input_registers(address, static_cast<std::uint16_t>(2 + line.below(2))),
        now);
    drive(client, line, now);
    const auto& outcome = client.outcome();
    if (!outcome.ok()) {
      ++tally.refused;
    } else if (write ? line.device.scratch == word : right(outcome.value(), address)) {
      ++tally.right;
    } else {
      ++tally.wrong;
    }
    idle(client, line, now, microseconds(line.below(3000)));
  }
  const auto& hits = line.hits;
  CHECK_MESSAGE((mix.late == 0) == (hits.late == 0), "late answers");
  CHECK_MESSAGE((mix.doubled == 0) == (hits.doubled == 0), "doubled answers");
  CHECK_MESSAGE((mix.repeated == 0) == (hits.repeated == 0), "repeated answers");
  CHECK_MESSAGE((mix.flipped == 0) == (hits.flipped == 0), "flipped bits");
  CHECK_MESSAGE((mix.foreign == 0) == (hits.foreign == 0), "foreign answers");
  CHECK_MESSAGE((mix.unheard == 0) == (hits.unheard == 0), "unheard requests");
  const auto& did = client.statistics();
  std::printf(
      "  right %d, refused %d, wrong %d; transactions %u, fences %u, spacers %u, stale %u, bad %u, stray "
      "%u\n",
      tally.right, tally.refused, tally.wrong, did.transactions, did.fences, did.spacers, did.frames_stale,
      did.frames_bad, did.octets_stray);
  return tally;
}

const Mix kLateAndDoubled{.late = 50, .doubled = 50};
const Mix kLate{.late = 50};
const Mix kRepeated{.repeated = 50};
const Mix kFlipped{.flipped = 50};
const Mix kForeign{.foreign = 50};
const Mix kEcho{.late = 50, .unheard = 50, .echo = true};
const Mix kAll{
    .late = 20, .doubled = 30, .repeated = 20, .lost = 10, .unheard = 10, .flipped = 10, .foreign = 10};

struct NoFence : AllGuards {
  static constexpr bool kFence = false;
};
struct AlikeNeighbours : AllGuards {
  static constexpr bool kUnlikeNeighbours = false;
};
struct AnyLength : AllGuards {
  static constexpr bool kExactLength = false;
};
struct NoCrc : AllGuards {
  static constexpr bool kCrc = false;
};
struct StrayOctetsStay : AllGuards {
  static constexpr bool kStrayOctets = false;
};
struct AnyAddress : AllGuards {
  static constexpr bool kAddress = false;
};
struct NoEcho : AllGuards {
  static constexpr bool kEcho = false;
};

template <typename Guards>
void bites(const Mix& mix) {
  CAPTURE(seed());
  CHECK(soak<AllGuards>(mix).wrong == 0);
  CHECK(soak<Guards>(mix).wrong > 0);
}

}  // namespace

TEST_SUITE("protocol/session/soak") {
  TEST_CASE("a unit that answers late and twice never gives a wrong value, and still gives values") {
    CAPTURE(seed());
    const Tally tally = soak<AllGuards>(kLateAndDoubled);
    CHECK(tally.wrong == 0);
    CHECK(tally.right > kOperations * 8 / 10);
  }

  TEST_CASE("every trouble at once never gives a wrong value, and still gives values") {
    CAPTURE(seed());
    const Tally tally = soak<AllGuards>(kAll);
    CHECK(tally.wrong == 0);
    CHECK(tally.right > kOperations * 8 / 10);
  }

  TEST_CASE("without the fence late answers are taken for others'") {
    bites<NoFence>(kLate);
  }
  TEST_CASE("with alike neighbours doubled answers are taken for others'") {
    bites<AlikeNeighbours>({.doubled = 50});
  }
  TEST_CASE("without the exact length late answers are taken for others'") {
    bites<AnyLength>(kLateAndDoubled);
  }
  TEST_CASE("without the CRC turned bits are taken for values") {
    bites<NoCrc>(kFlipped);
  }
  TEST_CASE("with stray octets left standing they are taken for answers") {
    bites<StrayOctetsStay>(kRepeated);
  }
  TEST_CASE("without the address check another unit's answer is taken for this one's") {
    bites<AnyAddress>(kForeign);
  }
  TEST_CASE("without the echo test a write that no unit heard is taken for done") {
    bites<NoEcho>(kEcho);
  }
}
