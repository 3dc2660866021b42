#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "host/model/catalogue.hpp"

namespace host::model {

/// What is wrong with a folder of a catalogue, file by file.
struct Audit {
  std::vector<std::pair<std::string_view, std::size_t>> files;  // how many of each kind, by its folder
  FileErrors errors;                                            // by path, then by place; may be empty here
  FileErrors warnings;  // what loads, but hardly means what it says; sorted alike
};

/// Reads every file under a folder's panels/, boards/, cables/, supplies/, keypads/ and kits/ as if each were
/// used. Ids are looked for in the folder first, then in `others`.
///
/// Returns  every error of every file: what load_kit and its like would say, names that no kit could use, ids
///          that differ only in case, `replaces` that leads nowhere or in a circle. Warnings: a kit in use
///          that names a withdrawn part, a released file that another replaces, files and folders nobody
///          reads, ids that hide one of `others`.
/// Errors   kMissing, kUnreadable: no such folder, or none of a catalogue's folders in it.
[[nodiscard]] Loaded<Audit> audit_folder(const std::string& folder, const Catalogue& others);

}  // namespace host::model
