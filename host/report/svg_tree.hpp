#pragma once

#include <string_view>

#include "host/report/document.hpp"

namespace pugi {
class xml_node;
}

namespace host::report {

/// Adds a drawing to a tree as an svg element of its own size, with its caption as title and its table as
/// description for whoever can't see it.
void add_svg(pugi::xml_node parent, const Drawing& drawing);

/// Adds text, cleaned, to an element.
void add_text(pugi::xml_node parent, std::string_view text);

}  // namespace host::report
