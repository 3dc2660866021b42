#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "host/link/link_error.hpp"

/// What stands behind the ? of a link, before anybody knows what it means.
namespace host::link {

/// "name" or "name=value", percent signs decoded.
struct QueryItem {
  std::string name;
  std::optional<std::string> value;
};

/// kBadLink with these words.
[[nodiscard]] tl::unexpected<LinkError> bad(std::string message, std::string remedy);

/// Hostile text for a message: in quotes, 60 octets at most, control characters as their numbers.
[[nodiscard]] std::string quoted(std::string_view text);

/// `text` with %XX decoded. Errors   kBadLink: no two digits behind a percent sign; a control character,
/// decoded or not.
[[nodiscard]] Result<std::string> decoded(std::string_view text);

/// The items of `query`, in their order; a name may come again. Errors   kBadLink.
[[nodiscard]] Result<std::vector<QueryItem>> query_items(std::string_view query);

/// As query_items(), for a line's options, each of which is given once. Errors   kBadLink.
[[nodiscard]] Result<std::vector<QueryItem>> line_items(std::string_view query);

}  // namespace host::link
