#pragma once

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
  std::string path;    // where it was loaded from
};

/// Whether `replaces` names a revision: a number, or one letter. Anything else is an id.
[[nodiscard]] bool is_revision(std::string_view replaces);

}  // namespace host::model
