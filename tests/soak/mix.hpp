#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "tests/soak/dice.hpp"

namespace tests::soak {

/// Everything the line, the unit and others can do to a transaction.
enum class Fault : std::uint8_t {
  kRequestBits,  ///< one to six bits of a request turned
  kAnswerBits,   ///< one to six bits of an answer turned
  kRequestLost,  ///< a request that the unit does not hear
  kAnswerLost,   ///< an answer that never comes
  kOctetLost,    ///< an octet missing from an answer
  kDoubled,      ///< an answer said twice, the copy 0..50 ms later, ahead of what follows
  kRepeated,     ///< the answer before this one comes again behind this one
  kLate,         ///< held back 15..440 ms, what follows waiting behind it: beyond every deadline
  kJoined,       ///< an answer and the frame of another unit in one piece, no silence between
  kForeign,      ///< another master asks another unit, ahead of the answer
  kImpostor,     ///< another unit's answer of the very shape comes first
  kClash,        ///< two units answer at once: a wired AND of both
  kReset,        ///< the unit resets with the request half heard
  kJunk,         ///< up to sixteen octets of a floating bus, 00 or FF, ahead of an answer
  kTrailing,     ///< one to three of them behind it
  kBusy,         ///< the unit refuses with exception 06
  kMarked,       ///< the port reports a parity error in the middle of an answer
  kCount
};

inline constexpr std::size_t kFaults = static_cast<std::size_t>(Fault::kCount);

inline constexpr std::array<std::string_view, kFaults> kFaultNames{"bits turned in a request",
                                                                   "bits turned in an answer",
                                                                   "requests lost",
                                                                   "answers lost",
                                                                   "octets lost",
                                                                   "answers doubled",
                                                                   "answers repeated",
                                                                   "answers late",
                                                                   "frames joined",
                                                                   "foreign masters",
                                                                   "impostors",
                                                                   "clashes",
                                                                   "resets",
                                                                   "junk ahead",
                                                                   "junk behind",
                                                                   "busy",
                                                                   "parity errors"};

/// How often each fault strikes, in 1/65536 of the transactions, and whether the adapter hears itself.
struct Mix {
  std::array<std::uint16_t, kFaults> chance{};
  bool echo = false;

  [[nodiscard]] std::uint16_t& operator[](Fault fault) { return chance[static_cast<std::size_t>(fault)]; }
};

/// A mix drawn from the seed: each fault is absent in half of them, else 0.1 to 5 % frequent; one mix in four
/// echoes.
[[nodiscard]] inline Mix draw_mix(Dice& random) {
  Mix mix;
  for (auto& chance : mix.chance) {
    if (random.below(2) == 0) continue;
    chance = static_cast<std::uint16_t>(65 << random.below(6));
    chance = static_cast<std::uint16_t>(chance + random.below(chance));
  }
  mix.echo = random.below(4) == 0;
  return mix;
}

/// Every fault at once, 3 % each: what a planted defect is shown.
[[nodiscard]] inline Mix dense_mix(bool echo) {
  Mix mix;
  mix.chance.fill(1966);
  mix.echo = echo;
  return mix;
}

}  // namespace tests::soak
