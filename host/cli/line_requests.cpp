#include <charconv>

#include "host/cli/requests.hpp"
#include "host/model/nearest.hpp"
#include "protocol/points/words.hpp"

namespace host::cli {
namespace {

struct Range {
  int first = 0, last = 0;
};

std::optional<int> whole_number(std::string_view text) {
  int value = 0;
  const auto [rest, error] = std::from_chars(text.begin(), text.end(), value);
  return error == std::errc{} && rest == text.end() ? std::optional{value} : std::nullopt;
}

// "1-32" or "17", within 1..247.
std::optional<Range> addresses(std::string_view text) {
  constexpr int kAddressMax = 247;
  const std::size_t dash = text.find('-');
  const auto first = whole_number(text.substr(0, dash));
  const auto last = dash == std::string_view::npos ? first : whole_number(text.substr(dash + 1));
  if (!first || !last) return std::nullopt;
  const Range range{*first, *last};
  const bool sound = range.first >= 1 && range.last <= kAddressMax && range.first <= range.last;
  return sound ? std::optional{range} : std::nullopt;
}

}  // namespace

tl::expected<PortsRequest, std::string> ports_request(const CommandLine& line) {
  return PortsRequest{line.has("--json")};
}

tl::expected<ScanRequest, std::string> scan_request(const CommandLine& line) {
  ScanRequest request;
  request.links = line.repeated;
  request.share = line.has("--share");
  request.json = line.has("--json");
  request.trace = line.value("--trace").value_or("");
  if (!request.trace.empty() && request.links.size() > 1) {
    return tl::unexpected{std::string{"--trace: a capture is of one wire; trace one link at a time"}};
  }
  const std::string range = line.value("--addresses").value_or("");
  const auto meant = addresses(range);
  if (!meant) {
    return tl::unexpected{"--addresses: '" + range + "' is no range; 1-247, 1-32 or 17 is meant"};
  }
  request.first_address = meant->first;
  request.last_address = meant->last;
  const std::string timeout = line.value("--timeout").value_or("");
  const auto span = duration(timeout);
  if (!span) {
    return tl::unexpected{"--timeout: '" + timeout +
                          "' is no time; 500ms, 10s or 2min is meant, an hour at most"};
  }
  request.timeout = *span;
  return request;
}

tl::expected<TraceShowRequest, std::string> trace_show_request(const CommandLine& line) {
  return TraceShowRequest{line.arguments.front()};
}

tl::expected<TraceExtractRequest, std::string> trace_extract_request(const CommandLine& line) {
  TraceExtractRequest request{line.arguments.front(), line.value("--output").value_or(""),
                              line.all("--point")};
  if (!request.output.ends_with(".csv")) {
    return tl::unexpected{"--output: '" + request.output +
                          "' doesn't end in .csv, which is what can be written"};
  }
  for (const std::string& name : request.points) {
    if (protocol::points::find(name)) continue;
    std::vector<std::string_view> names;
    for (const auto& words : protocol::points::all_words()) names.push_back(words.name);
    return tl::unexpected{"--point: there is no point '" + name + "'; " +
                          model::nearest_hint(name, names, "points")};
  }
  return request;
}

}  // namespace host::cli
