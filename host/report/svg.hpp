#pragma once

#include <string>

#include "host/report/document.hpp"

namespace host::report {

/// The document's drawings, straps included, as one SVG picture: its title on top, each drawing with its
/// caption below the one before, its foot at the bottom. True to scale in millimetres.
///
/// Returns  a well-formed XML document without script, style sheet or reference to anything outside it. Every
///          text is cleaned() on the way. A document without drawings gives a picture of its title and foot.
[[nodiscard]] std::string to_svg(const Document& document);

}  // namespace host::report
