#pragma once

#include <optional>
#include <string>
#include <vector>

#include "host/expect/straps.hpp"
#include "host/model/kit.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

namespace host::verify {

/// What is known of one strap before anything is inferred.
struct StrapReading {
  std::optional<model::Position> position;              // empty: unread, or no position at all
  model::Evidence evidence = model::Evidence::kUnread;  // of `position`
  std::string reason;                                   // why there is no position
  bool impossible = false;                              // the unit says what no strap can be
  std::uint16_t word = 0;                               // as read, when impossible
  std::optional<model::Position> seen;                  // what a person says, whether it counts or not
  std::string seen_by;                                  // safe to show
};

/// Reads every strap of the kit's board: from the unit where the board senses it, else from a person where
/// the kit accepts that. Parallel to Board::straps.
[[nodiscard]] std::vector<StrapReading> read_straps(const model::Kit& kit, const Snapshot& snapshot,
                                                    const Demands& demands);

/// The positions that are known, for expect::select.
[[nodiscard]] expect::JointPosition joint_of(const std::vector<StrapReading>& readings);

/// Whether a strap can stand so: no bit beyond its width, no pin under two caps.
[[nodiscard]] bool can_stand(const model::Strap& strap, std::uint16_t word);

/// The straps a function depends on, each once, ascending.
[[nodiscard]] std::vector<std::size_t> straps_of(const model::Function& function);

/// Positions as people read them: one pattern ("1001xx") where they are one, else "1-2 or 3-4"; "none" for
/// none.
[[nodiscard]] std::string positions_text(const model::Strap& strap,
                                         const std::vector<model::Position>& positions);

/// The bits that all of these positions have in common.
[[nodiscard]] std::uint16_t common_bits(const model::Strap& strap,
                                        const std::vector<model::Position>& positions);

}  // namespace host::verify
