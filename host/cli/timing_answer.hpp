#pragma once

#include "host/model/timing.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"

namespace host::cli {

/// Every figure of a timing, as the commands about timings answer it.
[[nodiscard]] report::json::Value timing_json(const model::Timing& timing);
[[nodiscard]] report::Table timing_table(const model::Timing& timing);

}  // namespace host::cli
