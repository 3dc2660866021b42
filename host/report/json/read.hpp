#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "host/report/json/value.hpp"

namespace host::report::json {

inline constexpr std::size_t kNestingMax = 32;    // objects and arrays in each other
inline constexpr std::size_t kMembersMax = 4096;  // of one object or array
inline constexpr std::size_t kTextSizeMax =
    8 * 1024;  // octets of one text or key: an EDID in hexadecimal is 1 KiB

/// Why a text is no document, at the place where that was noticed; line and column count from 1.
struct Refusal {
  int line = 1;
  int column = 1;
  std::string what;  // "the key \"points\" stands twice"; one clean line
};

/// Reads a document that write() has written, or anybody.
///
/// Errors   no JSON as RFC 8259 has it, text that is no UTF-8, anything behind the document; and of what is
///          JSON, a key that stands twice in one object, null, a number that isn't whole or doesn't fit 64
///          bits (no document of this project holds one), and what is beyond the sizes above.
[[nodiscard]] tl::expected<Value, Refusal> read(std::string_view text);

/// The member of that name, or nullptr where `value` is no object or has none.
[[nodiscard]] const Value* member(const Value& value, std::string_view key);

}  // namespace host::report::json
