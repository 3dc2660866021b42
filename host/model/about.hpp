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
  std::string replaces;     // empty, or the revision this one replaces
  std::string source;       // "slate data sheet, 1.3, page 12", empty when not said
  std::string path;         // where it was loaded from
};

}  // namespace host::model
