#pragma once

#include <functional>
#include <initializer_list>
#include <map>
#include <string>
#include <string_view>

#include "host/model/error.hpp"

namespace host::model {

enum class Status { kDraft, kReleased, kWithdrawn };

/// "draft", "released", "withdrawn".
[[nodiscard]] std::string_view to_text(Status status);

/// What every file of a catalogue says of itself. Its id is its file name without ".toml".
struct About {
  std::string id;
  std::string title;
  std::string revision;
  Status status = Status::kDraft;
  std::string released_by;  // empty unless released
  std::string replaces;     // empty, an older revision of this file, or the id of another file of its kind
  Place replaces_place;
  std::string source;  // "slate data sheet, 1.3, page 12", empty when not said
  // Of single figures, where it isn't `source`: "supply.current.worst", "rail.panel.fuse", or a table of
  // them.
  std::map<std::string, std::string, std::less<>> sources{};
  std::string path{};  // where it was loaded from
};

/// The source that the file tells for a figure, or for a table it stands in, the nearest one; nullptr when it
/// is the part's own.
[[nodiscard]] const std::string* own_source(const About& about, std::string_view path);

/// The part's id, and what sources of their own these figures have: "slate", "slate: change note 7, page 1".
[[nodiscard]] std::string cited(const About& about, std::initializer_list<std::string_view> paths);

/// Whether `replaces` names a revision: a number, or one letter. Anything else is an id.
[[nodiscard]] bool is_revision(std::string_view replaces);

}  // namespace host::model
