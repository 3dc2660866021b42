#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <tl/expected.hpp>

#include "host/cli/command_line.hpp"
#include "host/cli/log.hpp"
#include "protocol/base/time.hpp"

namespace host::cli {

enum class ColourWish { kAuto, kAlways, kNever };

struct GlobalRequest {
  std::vector<std::string> catalogs;  // folders given, in order
  LogSettings log;
  ColourWish colour = ColourWish::kAuto;
};

/// "BR1=2-3": a strap and a position of it, neither of which has met a board yet.
struct StrapWord {
  std::string strap;
  std::string position;
  friend bool operator==(const StrapWord&, const StrapWord&) = default;
};

struct CheckRequest {
  std::string kit;
  std::vector<StrapWord> straps;
  std::string edid;  // a file to judge in place of the board's own; empty: none
  bool json = false;
};

struct MatchRequest {
  std::string panel;
  std::vector<std::string> inputs, needs;  // words that have met no table yet
  bool json = false;
};

enum class SheetFormat { kHtml, kSvg, kText };

struct SheetRequest {
  std::string kit;
  std::string path;
  SheetFormat format = SheetFormat::kHtml;
};

struct CardRequest {
  std::string kit;
  std::string path;
  std::optional<std::string> fault;  // has met no kit yet
};

enum class ReportFormat { kText, kJson };

struct ReportRequest {
  std::string path;
  ReportFormat format = ReportFormat::kText;
};

struct CatalogCheckRequest {
  std::string folder;
  bool json = false;
};

struct VerifyRequest {
  std::string kit;
  std::string link;      // empty where there is a snapshot
  std::string snapshot;  // a file of saved readings; empty where there is a link
  int address = 1;       // 1..247
  bool address_given = false;
  std::optional<std::string> serial;
  std::vector<StrapWord> attestations;
  std::string by;  // not empty when there are attestations
  protocol::base::Duration timeout{};
  bool share = false;
  bool json = false;
  std::string trace;  // empty: none
  std::vector<ReportRequest> reports;
};

struct PortsRequest {
  bool json = false;
};

struct ScanRequest {
  std::vector<std::string> links;  // at least one
  int first_address = 1, last_address = 247;
  protocol::base::Duration timeout{};
  bool share = false;
  bool json = false;
  std::string trace;  // empty: none
};

struct TraceShowRequest {
  std::string path;
};

struct TraceExtractRequest {
  std::string path;
  std::string output;
  std::vector<std::string> points;  // names of the profile; none: all
};

/// The values of a command line, read. Errors: one sentence that names the option and what would be right
/// (exit 64).
[[nodiscard]] tl::expected<GlobalRequest, std::string> global_request(const CommandLine& line);
[[nodiscard]] tl::expected<CheckRequest, std::string> check_request(const CommandLine& line);
[[nodiscard]] tl::expected<CatalogCheckRequest, std::string> catalog_check_request(const CommandLine& line);
[[nodiscard]] tl::expected<MatchRequest, std::string> match_request(const CommandLine& line);
[[nodiscard]] tl::expected<SheetRequest, std::string> sheet_request(const CommandLine& line);
[[nodiscard]] tl::expected<CardRequest, std::string> card_request(const CommandLine& line);
[[nodiscard]] tl::expected<VerifyRequest, std::string> verify_request(const CommandLine& line);
[[nodiscard]] tl::expected<PortsRequest, std::string> ports_request(const CommandLine& line);
[[nodiscard]] tl::expected<ScanRequest, std::string> scan_request(const CommandLine& line);
[[nodiscard]] tl::expected<TraceShowRequest, std::string> trace_show_request(const CommandLine& line);
[[nodiscard]] tl::expected<TraceExtractRequest, std::string> trace_extract_request(const CommandLine& line);

/// "500ms", "10s", "2min": from a millisecond to an hour; nothing for anything else.
[[nodiscard]] std::optional<protocol::base::Duration> duration(std::string_view text);

}  // namespace host::cli
