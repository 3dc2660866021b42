#pragma once

#include <string>

#include "host/report/document.hpp"
#include "host/report/ink.hpp"

namespace host::report {

/// A table as lines: titles underlined, a mark in front of each row where any row has a tone, columns as wide
/// as they need, the widest narrowed and wrapped first when the whole is wider than the page.
[[nodiscard]] std::string to_text(const Table& table, const Ink& ink);

/// Check items as a table: subject, expected, read, known by. In front what came of it: "ok", "marginal", "?"
/// for what had to be known and isn't, "-" for what needn't be, and for a mismatch "DANGER", "FAULT" or
/// "warning".
[[nodiscard]] std::string to_text(const Checks& checks, const Ink& ink);

}  // namespace host::report
