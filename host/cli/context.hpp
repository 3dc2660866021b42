#pragma once

#include <string>
#include <vector>

#include "host/cli/environment.hpp"
#include "host/cli/output.hpp"
#include "host/cli/requests.hpp"
#include "host/model/board.hpp"
#include "host/model/catalogue.hpp"
#include "host/model/strap.hpp"

namespace host::cli {

/// What every command is handed beside its own request.
struct Context {
  GlobalRequest global;
  Environment environment;
  model::Catalogue catalogue;
};

/// File errors as a Failure: 65 if any file is malformed, else 66 or 77 as the first says.
[[nodiscard]] Failure failure_of(const model::FileErrors& errors);

/// Whether a folder that --catalog names is there. Errors  kNoInput, kPermission.
[[nodiscard]] tl::expected<void, Failure> catalogue_folder(const std::string& folder);

/// A strap of a board and a position of it.
struct StrapPattern {
  std::size_t strap = 0;  // index into Board::straps
  model::Pattern pattern;
};

/// Finds the strap and reads the position that `word`, a value of `option`, means on `board`.
/// Errors  kUsage: the strap isn't on the board (says which are), or has no such position (says what is).
[[nodiscard]] tl::expected<StrapPattern, Failure> on_board(const model::Board& board, const StrapWord& word,
                                                           std::string_view option);

}  // namespace host::cli
