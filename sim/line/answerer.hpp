#pragma once

#include <cstddef>
#include <functional>
#include <utility>

#include "protocol/base/bytes.hpp"
#include "protocol/session/answer.hpp"

namespace sim::line {

/// What makes a unit's answers: its registers as this project's protocol shows them, or a board's own way.
struct Answerer {
  /// Turns the request at the front of the room into its answer; shape as protocol::session::answer().
  std::function<std::size_t(protocol::base::OctetSink pdu, std::size_t size)> make;
  /// Function 08 is its port's to answer; else make() is asked.
  bool diagnostics = true;
};

/// What protocol::session's server asks of the unit behind it.
[[nodiscard]] inline std::size_t answer(protocol::base::OctetSink pdu, std::size_t size, Answerer& answerer) {
  return answerer.make(pdu, size);
}
[[nodiscard]] inline bool has_diagnostics(const Answerer& answerer) {
  return answerer.diagnostics;
}

/// The answers of a device, which outlives them.
[[nodiscard]] inline Answerer answerer_of(protocol::session::Device& device) {
  return {[&device](protocol::base::OctetSink pdu, std::size_t size) {
    return protocol::session::answer(pdu, size, device);
  }};
}

}  // namespace sim::line
