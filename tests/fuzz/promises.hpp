#pragma once

#include <string_view>

#include "host/model/error.hpp"
#include "host/model/kit.hpp"

/// What several targets promise alike.
namespace tests::fuzz {

/// Printable UTF-8 without line ends, controls or whatever else could harm a terminal.
[[nodiscard]] bool is_one_clean_line(std::string_view text);

/// Errors of a file are there, stand inside it, and can be printed.
void hold_errors(const host::model::FileErrors& errors, std::string_view text);

/// Whatever loads can be worked out, judged and shown.
void hold_on_paper(const host::model::Kit& kit);

}  // namespace tests::fuzz
