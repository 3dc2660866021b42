#pragma once

#include <string>

#include "host/report/document.hpp"

namespace host::report {

/// The document as one HTML file that prints on A4.
///
/// Shape    sections under their headings; narrow ones flow in two columns, those with a drawing, or a table
///          of more than two columns, take the page's whole width. The document's foot and the page's number
///          stand at the foot of every page.
/// Returns  HTML that is well-formed XML too, drawings as SVG in place; no script, no reference to anything
///          outside the file. Every text is cleaned() on the way. Meaning is carried by words, weight and
///          lines, so that black and white lose nothing. Dangers come first whatever their place.
[[nodiscard]] std::string to_html(const Document& document);

}  // namespace host::report
