#include "host/cli/link_words.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>

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

tl::expected<TraceFile, Failure> open_trace(const std::string& path) {
  if (path.empty()) return TraceFile{};
  auto made = link::trace::Writer::create(path);
  if (!made) {
    return tl::unexpected{
        Failure{ExitCode::kCantCreate, {"--trace: " + report::cleaned(made.error().message)}}};
  }
  return std::move(*made);
}

tl::expected<void, Failure> close_trace(link::trace::Writer* trace) {
  if (trace == nullptr) return {};
  const auto closed = trace->close();
  if (!closed) {
    return tl::unexpected{Failure{ExitCode::kInputOutput, {report::cleaned(closed.error().message)}}};
  }
  return {};
}

}  // namespace host::cli
