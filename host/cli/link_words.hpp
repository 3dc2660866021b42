#pragma once

#include <memory>
#include <optional>
#include <string>

#include "host/cli/output.hpp"
#include "host/link/link_error.hpp"
#include "host/link/trace/writer.hpp"
#include "host/link/url.hpp"
#include "host/model/catalogue.hpp"

namespace host::cli {

/// What every command that talks over a link does alike.

/// A link's error as the program ends with it: what went wrong and what to do.
[[nodiscard]] Failure link_failure(const link::LinkError& error);

/// The folder of `catalogue` in which a simulated unit finds its kit; empty for other links.
[[nodiscard]] std::string simulator_catalogue(const link::LinkUrl& link, const model::Catalogue& catalogue);

/// Whether a link that says a trace again goes with the rest of the command line: it isn't written over while
/// it is read, and its unit is the one at `address`, where an address was given. Any other link does.
/// Errors  kUsage.
[[nodiscard]] tl::expected<void, Failure> suits_replay(const link::LinkUrl& link, const std::string& trace,
                                                       std::optional<int> address);

using TraceFile = std::unique_ptr<link::trace::Writer>;

/// The file of --trace, created before anything is said; null where `path` is empty.
/// Errors  kCantCreate: also where it is no ordinary file.
[[nodiscard]] tl::expected<TraceFile, Failure> open_trace(const std::string& path);

/// Ends it; null is as good. Errors  kInputOutput: it isn't whole.
[[nodiscard]] tl::expected<void, Failure> close_trace(link::trace::Writer* trace);

}  // namespace host::cli
