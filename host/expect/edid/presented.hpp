#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "host/model/kit.hpp"
#include "host/model/timing.hpp"
#include "host/signal/edid_make.hpp"

namespace host::expect::edid {

/// Whose an EDID is.
struct EdidIdentity {
  std::string maker;  // three capital letters
  int year = 0;       // of making, 2000..2245
};

/// The EDID that the board should present to the kit's source: the kit's timing preferred, colour depth of
/// the panel's mapping, named after the panel, in the form the input's kind asks for. Product code: the first
/// four digits of the kit's digest. Size is that of the whole raster: of a panel that shows a part of it,
/// what the raster would measure, since a source works out its dots per inch from it.
///
/// Returns  whole blocks, checksums in place.
/// Errors   everything an EDID can't hold or the standard forbids, one sentence each.
[[nodiscard]] tl::expected<std::vector<std::uint8_t>, std::vector<std::string>> presented_edid(
    const model::Kit& kit, const model::Timing& timing, const EdidIdentity& identity);

/// The same with timings of the board's own, at least one, the preferred one first.
[[nodiscard]] tl::expected<std::vector<std::uint8_t>, std::vector<std::string>> fixed_edid(
    const model::Kit& kit, const std::vector<model::Timing>& timings, const EdidIdentity& identity);

/// The form in which the kit's input is told; DVI when the board has no such input.
[[nodiscard]] signal::EdidInterface interface_of(const model::Kit& kit);

}  // namespace host::expect::edid
