#pragma once

#include <variant>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"

namespace host::expect {

/// What can't work on paper, by part of the expectation; each appends findings.
using Findings = std::vector<model::Finding>;

/// Functions, and fixed properties of the board, that give nothing the kit can use, and functions that no
/// joint position serves together.
void find_unserved(Findings& findings, const model::Kit& kit, const Expectation& expectation);

/// Supply and rails: window, power, current.
void find_supply_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation);

/// Timing against input and panel, link against board, dimming against the backlight.
void find_signal_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation);

/// A backlight dimmed by a voltage against the voltage that the board gives.
void find_analogue_faults(Findings& findings, const model::Kit& kit);

/// What the board tells its source, and where a source that goes by it sends another timing than the kit's.
/// Errors   a fixed EDID of the board names a timing that doesn't exist.
[[nodiscard]] model::Loaded<std::monostate> find_source_faults(Expectation& expectation,
                                                               const model::Kit& kit);

/// Ends of cables that mate with nothing, and cables that are missing.
void find_cable_faults(Findings& findings, const model::Kit& kit);

/// Nets through the cables, and what drops on them.
void find_net_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation);

/// The board's power sequence against the panel's.
void find_sequence_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation);

/// Files that are not released.
void find_unreleased(Findings& findings, const model::Kit& kit);

/// Gravest first, otherwise as they stand.
void sort_by_severity(Findings& findings);

}  // namespace host::expect
