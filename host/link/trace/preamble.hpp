#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "host/link/trace/record.hpp"

namespace host::link::trace {

/// "strapline-trace 1 carrier=rtu unit=1 seed=7 baud=19200 format=8E1 latency_us=16000 listens=yes": the
/// comment of a trace's section. Further words may follow in later versions.
[[nodiscard]] std::string to_text(const Preamble& preamble);

/// Reads it back; nothing when `text` is none, or holds what can't be.
[[nodiscard]] std::optional<Preamble> preamble_of(std::string_view text);

}  // namespace host::link::trace
