#include <algorithm>
#include <filesystem>

#include "host/model/part_file.hpp"
#include "host/model/words.hpp"

namespace host::model {

bool is_designator(std::string_view id, std::string_view prefix) {
  if (!id.starts_with(prefix)) return false;
  const std::string_view number = id.substr(prefix.size());
  return !number.empty() && number.size() <= 3 && number[0] != '0' &&
         std::all_of(number.begin(), number.end(), [](char c) { return c >= '0' && c <= '9'; });
}

bool is_revision(std::string_view replaces) {
  return !replaces.empty() && (replaces.size() == 1 || (replaces[0] >= '0' && replaces[0] <= '9'));
}

void read_about(TableReader& table, const SourceFile& file, About& about) {
  about.id = std::filesystem::path(file.path).stem().string();
  about.path = file.path;
  table.must("title", about.title);
  table.must("revision", about.revision);
  table.must("status", about.status, words_for<Status>());
  table.may("released_by", about.released_by);
  table.may("replaces", about.replaces);
  about.replaces_place = table.place_of("replaces");
  if (!about.replaces.empty() && (about.replaces == about.revision || about.replaces == about.id)) {
    table.complain("replaces", "names this file as it stands, '" + about.replaces + "'",
                   "write the revision before this one, or the id of another file");
  }
  if (about.status == Status::kReleased && !table.has("released_by")) {
    table.complain("status", "is released, so somebody released it", "add released_by = \"NAME\"");
  }
  if (about.status == Status::kDraft && table.has("released_by")) {
    table.complain("released_by", "stands in a draft", "take it out, or set status = \"released\"");
  }
  table.may_table("taken_from", [&](TableReader& source) {
    std::string revision;
    std::string page;
    source.must("document", about.source);
    source.may("revision", revision);
    source.may("page", page);
    if (!revision.empty()) about.source += ", " + revision;
    if (!page.empty()) about.source += ", page " + page;
  });
  read_sources(table, about);
}

}  // namespace host::model
