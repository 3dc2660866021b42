#pragma once

#include <string>
#include <vector>

#include "host/model/catalogue.hpp"

namespace sim::port {

/// Where to look for files, the first that has one wins: the folders given, the user's
/// ($XDG_DATA_HOME/strapline/catalog), the system's ($XDG_DATA_DIRS), ../share/strapline/catalog beside the
/// program, and the source tree of a development build. Folders that aren't there are left out, except given
/// ones. Source  XDG Base Directory Specification 0.8.
[[nodiscard]] host::model::Catalogue catalogue_path(const std::vector<std::string>& given);

}  // namespace sim::port
