#pragma once

#include <string>

#include "protocol/base/bytes.hpp"

namespace host::link {

/// What octets of somebody else's talk are, as far as they can be read: "a request to unit 7, function 03 (07
/// 03 00 00 00 02 C4 6D)", else the first octets as they came. One clause, at most a line long.
[[nodiscard]] std::string words_of_foreign(protocol::base::Octets octets);

/// Octets in hexadecimal, two digits each with a blank between.
[[nodiscard]] std::string hex(protocol::base::Octets octets);

}  // namespace host::link
