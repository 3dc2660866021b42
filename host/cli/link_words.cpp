#include "host/cli/link_words.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>

#include "host/link/trace/reader.hpp"
#include "host/report/document.hpp"

namespace host::cli {

Failure link_failure(const link::LinkError& error) {
  std::string message = error.message;
  if (!error.remedy.empty()) message += "; " + error.remedy;
  return {static_cast<ExitCode>(error.exit_code), {std::move(message)}};
}

std::string simulator_catalogue(const link::LinkUrl& link, const model::Catalogue& catalogue) {
  const auto* simulated = std::get_if<link::SimLink>(&link.target);
  if (simulated == nullptr || catalogue.empty()) return {};
  const auto holds = [&](const std::string& folder) {
    std::error_code ignored;
    return std::filesystem::exists(std::filesystem::path{folder} / "kits" / (simulated->kit + ".toml"),
                                   ignored);
  };
  const auto found = std::find_if(catalogue.begin(), catalogue.end(), holds);
  return found == catalogue.end() ? catalogue.front() : *found;
}

tl::expected<void, Failure> suits_replay(const link::LinkUrl& link, const std::string& trace,
                                         std::optional<int> address) {
  const auto* replayed = std::get_if<link::TraceLink>(&link.target);
  if (replayed == nullptr) return {};
  std::error_code ignored;  // of a file that isn't there
  if (!trace.empty() && std::filesystem::equivalent(replayed->path, trace, ignored)) {
    return tl::unexpected{
        Failure{ExitCode::kUsage,
                {"--trace: '" + trace +
                 "' is the trace that --link reads; name another file, or leave --trace out"}}};
  }
  const auto reader = link::trace::Reader::open(replayed->path);
  if (!address || !reader || !(*reader)->preamble()) return {};  // the session says what is wrong with it
  const int unit = (*reader)->preamble()->unit_address;
  if (unit == *address) return {};
  return tl::unexpected{
      Failure{ExitCode::kUsage,
              {"--address: the trace is of unit " + std::to_string(unit) + "; leave --address out"}}};
}

tl::expected<TraceFile, Failure> open_trace(const std::string& path) {
  if (path.empty()) return TraceFile{};
  auto made = link::trace::Writer::create(path);
  if (!made) {
    return tl::unexpected{Failure{
        ExitCode::kCantCreate, {"--trace: " + made.error().message + "; " + way_out(made.error().reason)}}};
  }
  return std::move(*made);
}

tl::expected<void, Failure> close_trace(link::trace::Writer* trace) {
  if (trace == nullptr) return {};
  const auto closed = trace->close();
  if (!closed) {
    return tl::unexpected{
        Failure{ExitCode::kInputOutput, {closed.error().message + "; " + way_out(closed.error().reason)}}};
  }
  return {};
}

}  // namespace host::cli
