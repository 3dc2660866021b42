#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "host/model/quantity.hpp"

namespace host::model {

/// How a thing can be known. The first three words of a strap's evidence are its board file's to say.
enum class Evidence { kMeasured, kSensed, kAtReset, kDeclared, kInferred, kAttested, kUnread };

/// "measured", "sensed", "at-reset", "declared", "inferred", "attested", "unread".
[[nodiscard]] std::string_view to_text(Evidence evidence);

enum class StrapKind {
  kJumper,   // a row of pins; caps join neighbours
  kSwitches  // a bank of ways
};

/// Where a strap stands, as the wire carries it: jumper bit n = pins n+1 and n+2 joined, bank bit n =
/// way n+1 on.
struct Position {
  std::uint16_t bits = 0;
  friend constexpr auto operator<=>(Position, Position) = default;
};

/// A set of positions: those that agree with `bits` wherever `care` is set.
struct Pattern {
  std::uint16_t care = 0;
  std::uint16_t bits = 0;
  [[nodiscard]] constexpr bool matches(Position position) const { return (position.bits & care) == bits; }
  friend constexpr bool operator==(Pattern, Pattern) = default;
};

/// A jumper or a bank of switches on a board.
struct Strap {
  std::string id;  // "BR2", "S1"
  StrapKind kind = StrapKind::kJumper;
  std::uint16_t count = 0;                // pins 2..13, or ways 1..12
  std::vector<std::string> nets;          // of a jumper's pins, in order; empty for a bank
  Micrometres x, y;                       // of pin 1 or way 1, from the board's lower left corner
  int turn_degrees = 0;                   // 0, 90, 180, 270, anticlockwise
  Evidence evidence = Evidence::kSensed;  // kSensed, kAtReset, kDeclared, or kUnread: not sensed
  std::uint16_t index = 0;                // of its word in the straps group; meaningless when not sensed
  std::string look;                       // what a person looks at to attest it: "white cap beside X4"

  /// Bits a position of this strap may use: count - 1 for a jumper, count for a bank.
  [[nodiscard]] std::uint16_t bit_count() const;
};

/// Every position a person can set: for a jumper those where no pin carries two caps, for a bank all.
/// In ascending order of bits; "open" first.
[[nodiscard]] std::vector<Position> positions(const Strap& strap);

/// "open", "2-3", "1-2+3-4"; a bank "1001" with way 1 first.
[[nodiscard]] std::string to_text(const Strap& strap, Position position);

/// The same with "x" for a way that doesn't matter; a jumper's pattern is always one position.
[[nodiscard]] std::string to_text(const Strap& strap, Pattern pattern);

/// Reads a pattern: the forms of to_text. Errors: one sentence that says what would be right.
[[nodiscard]] tl::expected<Pattern, std::string> parse_pattern(const Strap& strap, std::string_view text);

/// Reads one position (a pattern without "x"). Errors: one sentence that says what would be right.
[[nodiscard]] tl::expected<Position, std::string> parse_position(const Strap& strap, std::string_view text);

}  // namespace host::model

// Copied and ended in many files, compiled once.
extern template class std::vector<host::model::Position>;
extern template class std::vector<host::model::Pattern>;
extern template class std::vector<host::model::Strap>;
