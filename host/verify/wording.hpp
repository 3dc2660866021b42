#pragma once

#include <cstdint>
#include <string>

#include "host/model/quantity.hpp"
#include "protocol/points/point.hpp"
#include "protocol/points/reading.hpp"

namespace host::verify {

/// A number of a point as people read it: "5012 mV", "on", "2". Choices that have no name stay numbers.
[[nodiscard]] std::string value_text(protocol::points::Point point, std::int64_t value);

/// Limits of a point: "3135..3465 mV", ">= 2000 mV", "<= 800 mV", "on"; "any" without limits.
[[nodiscard]] std::string range_text(protocol::points::Point point,
                                     const model::Bounds<std::int64_t>& bounds);

/// What a text point read, safe to show; empty for anything else.
[[nodiscard]] std::string text_of(const protocol::points::Reading& reading);

}  // namespace host::verify
