#pragma once

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"
#include "host/report/document.hpp"

namespace host::expect::sheet {

/// The build sheet of a kit: what someone at the bench needs to build one unit, on paper.
///
/// Shape    findings first, dangers ahead of all; cautions; parts with revision and status; panel; board
/// drawn
///          to scale with every connector and strap, pin 1 marked; straps to set; wiring in a safe order, the
///          supply last, with the way round of each cable end; supply, input timing and window, settings;
///          every figure with its formula. Its foot holds kit, revision and digest.
[[nodiscard]] report::Document make_sheet(const model::Kit& kit, const Expectation& expectation);

}  // namespace host::expect::sheet
