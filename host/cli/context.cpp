#include "host/cli/context.hpp"

#include <algorithm>
#include <filesystem>
#include <string_view>
#include <system_error>

#include "host/model/nearest.hpp"

namespace host::cli {
namespace {

ExitCode code_of(model::FileError::Kind kind) {
  switch (kind) {
    case model::FileError::Kind::kMissing: return ExitCode::kNoInput;
    case model::FileError::Kind::kUnreadable: return ExitCode::kPermission;
    case model::FileError::Kind::kMalformed: break;
  }
  return ExitCode::kData;
}

}  // namespace

Failure failure_of(const model::FileErrors& errors) {
  Failure failure;
  failure.code = errors.empty() ? ExitCode::kOurs : code_of(errors.front().kind);
  for (const auto& error : errors) {
    if (error.kind == model::FileError::Kind::kMalformed) failure.code = ExitCode::kData;
    failure.messages.push_back(to_text(error));
  }
  return failure;
}

tl::expected<void, Failure> catalogue_folder(const std::string& folder) {
  std::error_code why;
  const auto status = std::filesystem::status(folder, why);
  const std::string named = "--catalog: ";
  if (std::filesystem::is_directory(status)) return {};
  if (why == std::errc::permission_denied) {
    return tl::unexpected{Failure{ExitCode::kPermission, {named + "no right to look at '" + folder + "'"}}};
  }
  return tl::unexpected{Failure{ExitCode::kNoInput,
                                {named +
                                 (std::filesystem::exists(status) ? "'" + folder + "' is no folder"
                                                                  : "there is no folder '" + folder + "'") +
                                 "; name one that holds panels, boards and kits"}}};
}

tl::expected<StrapPattern, Failure> on_board(const model::Board& board, const StrapWord& word,
                                             std::string_view option) {
  const auto& straps = board.straps;
  const auto found =
      std::find_if(straps.begin(), straps.end(), [&](const auto& strap) { return strap.id == word.strap; });
  if (found == straps.end()) {
    std::vector<std::string_view> ids;
    ids.reserve(straps.size());
    for (const auto& strap : straps) ids.push_back(strap.id);
    return tl::unexpected{Failure{ExitCode::kUsage,
                                  {std::string{option} + ": board " + board.about.id + " has no strap '" +
                                   word.strap + "'; " + model::nearest_hint(word.strap, ids, "straps")}}};
  }
  const auto pattern = parse_pattern(*found, word.position);
  if (!pattern)
    return tl::unexpected{Failure{ExitCode::kUsage, {std::string{option} + ": " + pattern.error()}}};
  return StrapPattern{static_cast<std::size_t>(found - straps.begin()), *pattern};
}

}  // namespace host::cli
