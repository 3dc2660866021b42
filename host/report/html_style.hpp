#pragma once

#include <string>
#include <string_view>

namespace host::report {

/// The style sheet of an HTML document: A4 upright, `foot` and page numbers in the margin below. Nothing in
/// it refers to anything outside. Safe inside a style element whatever `foot` holds.
[[nodiscard]] std::string style_sheet(std::string_view foot);

}  // namespace host::report
