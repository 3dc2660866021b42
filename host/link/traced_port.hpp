#pragma once

#include <memory>

#include "host/link/port.hpp"
#include "host/link/trace/writer.hpp"
#include "host/link/transport.hpp"

namespace host::link {

/// A port whose every octet, both ways, is also written to a trace. The writer outlives it.
[[nodiscard]] std::unique_ptr<Port> traced(std::unique_ptr<Port> port, trace::Writer& writer);

/// Begins `writer` with `known`, and writes to it what is said over `way` from now on.
void trace_from_now(Transport& way, trace::Writer& writer, const trace::Preamble& known);

/// What a trace of this way begins with: its framing and its line. Unit, seed and latency are the caller's.
[[nodiscard]] trace::Preamble preamble_of(const Transport& way);

}  // namespace host::link
