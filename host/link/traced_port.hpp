#pragma once

#include <memory>

#include "host/link/port.hpp"
#include "host/link/trace/writer.hpp"

namespace host::link {

/// A port whose every octet, both ways, is also written to a trace. The writer outlives it.
[[nodiscard]] std::unique_ptr<Port> traced(std::unique_ptr<Port> port, trace::Writer& writer);

}  // namespace host::link
