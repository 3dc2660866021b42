#pragma once

#include <optional>

#include "host/model/source_file.hpp"

namespace host::model {

/// Looks a file over before the TOML library sees it, for what that library answers with an abort, endless
/// recursion, undefined behaviour or a poor message.
///
/// Returns  the first error: octets that are no UTF-8, a character outside ASCII that stands neither in a
///          text nor in a comment, a text that begins in the middle of a value, a backslash in a long text
///          that escapes nothing, more than kNestingMax brackets or dotted key parts in each other.
[[nodiscard]] std::optional<FileError> check_shape(const SourceFile& file);

}  // namespace host::model
