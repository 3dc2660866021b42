#include "host/cli/requests.hpp"

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <system_error>

namespace host::cli {
namespace {

using Words = std::vector<StrapWord>;

std::optional<std::int64_t> whole_number(std::string_view text) {
  std::int64_t number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return number;
}

// "BR1=2-3,S1=1001xx", in one option or several; a strap may stand only once.
tl::expected<Words, std::string> strap_words(std::string_view option, const std::vector<std::string>& texts) {
  Words words;
  for (const auto& text : texts) {
    for (std::string_view rest = text; !rest.empty();) {
      const std::size_t comma = std::min(rest.find(','), rest.size());
      const std::string_view item = rest.substr(0, comma);
      const std::size_t equals = item.find('=');
      if (equals == std::string_view::npos || equals == 0 || equals + 1 == item.size()) {
        return tl::unexpected{std::string{option} + ": '" + std::string{item} +
                              "' is no strap with its position; BR1=2-3 or S1=1001xx is meant"};
      }
      StrapWord word{std::string{item.substr(0, equals)}, std::string{item.substr(equals + 1)}};
      const bool again = std::any_of(words.begin(), words.end(),
                                     [&](const auto& other) { return other.strap == word.strap; });
      if (again) return tl::unexpected{std::string{option} + ": " + word.strap + " is given twice"};
      words.push_back(std::move(word));
      rest.remove_prefix(std::min(comma + 1, rest.size()));
    }
  }
  if (!texts.empty() && words.empty()) {
    return tl::unexpected{std::string{option} + " is empty; BR1=2-3 or S1=1001xx is meant"};
  }
  return words;
}

std::optional<ReportFormat> format_of(std::string_view path) {
  if (path.ends_with(".txt")) return ReportFormat::kText;
  if (path.ends_with(".json")) return ReportFormat::kJson;
  return std::nullopt;
}

// However it is spelled and whatever links lead to it.
std::filesystem::path plain_path(const std::string& path) {
  std::error_code why;
  auto plain = std::filesystem::absolute(path, why);
  if (!why) plain = std::filesystem::weakly_canonical(plain, why);
  return why ? std::filesystem::path(path).lexically_normal() : plain;
}

// A file that would be written more than once; empty when there is none.
std::string named_twice(const VerifyRequest& request) {
  std::vector<std::filesystem::path> paths;
  const auto again = [&](const std::string& path) {
    const auto plain = plain_path(path);
    const bool known = std::find(paths.begin(), paths.end(), plain) != paths.end();
    paths.push_back(plain);
    return known;
  };
  if (!request.snapshot.empty()) (void)again(request.snapshot);
  for (const auto& report : request.reports) {
    if (again(report.path))
      return "--report: '" + report.path + "' is named twice; each result needs a file of its own";
  }
  if (!request.trace.empty() && again(request.trace)) {
    return "--trace: '" + request.trace + "' is named by --report as well; each needs a file of its own";
  }
  return {};
}

// An option whose file the log would spoil; empty when there is none.
std::string spoilt_by_log(const CommandLine& line, const std::string& log) {
  if (log.empty()) return {};
  constexpr std::string_view kTrace = "trace:";
  for (const char* const option : {"--report", "--output", "--trace", "--snapshot", "--edid", "--link"}) {
    for (std::string path : line.all(option)) {
      if (path.starts_with(kTrace)) path.erase(0, kTrace.size());
      if (!path.empty() && plain_path(path) == plain_path(log)) return option;
    }
  }
  return {};
}

// A unit or a document, and nothing beside a document that only a unit has; empty when it is right.
std::string source_complaint(const CommandLine& line) {
  if (!line.has("--snapshot")) {
    return line.has("--link")
               ? ""
               : "verify needs --link URL, where the unit is, or --snapshot FILE, what it read";
  }
  for (const char* const option : {"--link", "--address", "--timeout", "--share", "--trace"}) {
    if (line.has(option))
      return std::string{option} + " is for a unit, and --snapshot asks none; leave one of them out";
  }
  return "";
}

}  // namespace

std::optional<protocol::base::Duration> duration(std::string_view text) {
  const std::size_t digits = std::min(text.find_first_not_of("0123456789"), text.size());
  const auto number = whole_number(text.substr(0, digits));
  const std::string_view unit = text.substr(digits);
  const std::int64_t scale = unit == "ms" ? 1 : unit == "s" ? 1000 : unit == "min" ? 60'000 : 0;
  constexpr std::int64_t kMillisecondsMax = 3'600'000;
  if (!number || scale == 0 || *number < 1 || *number > kMillisecondsMax / scale) return std::nullopt;
  return protocol::base::milliseconds(*number * scale);
}

tl::expected<GlobalRequest, std::string> global_request(const CommandLine& line) {
  GlobalRequest request;
  request.catalogs = line.all("--catalog");
  const std::string colour = line.value("--color").value_or("");
  if (colour == "always") {
    request.colour = ColourWish::kAlways;
  } else if (colour == "never") {
    request.colour = ColourWish::kNever;
  } else if (colour != "auto") {
    return tl::unexpected{"--color: '" + colour + "' is not auto, always or never"};
  }
  const std::string level = line.value("--log-level").value_or("");
  const auto known = log_level(level);
  if (!known) return tl::unexpected{"--log-level: '" + level + "' is not debug, info, warning, error or off"};
  request.log = {*known, line.value("--log-file").value_or("")};
  if (const std::string other = spoilt_by_log(line, request.log.path); !other.empty()) {
    return tl::unexpected{"--log-file: '" + request.log.path + "' is named by " + other +
                          " as well; each needs a file of its own"};
  }
  return request;
}

tl::expected<CheckRequest, std::string> check_request(const CommandLine& line) {
  CheckRequest request;
  request.kit = line.arguments.front();
  request.json = line.has("--json");
  auto straps = strap_words("--straps", line.all("--straps"));
  if (!straps) return tl::unexpected{std::move(straps.error())};
  request.straps = std::move(*straps);
  request.edid = line.value("--edid").value_or("");
  return request;
}

tl::expected<CatalogCheckRequest, std::string> catalog_check_request(const CommandLine& line) {
  return CatalogCheckRequest{line.arguments.front(), line.has("--json")};
}

tl::expected<MatchRequest, std::string> match_request(const CommandLine& line) {
  return MatchRequest{line.arguments.front(), line.all("--input"), line.all("--need"), line.has("--json")};
}

tl::expected<SheetRequest, std::string> sheet_request(const CommandLine& line) {
  SheetRequest request{line.arguments.front(), line.value("--output").value_or(""), SheetFormat::kHtml};
  if (request.path.ends_with(".html")) return request;
  request.format = request.path.ends_with(".svg") ? SheetFormat::kSvg : SheetFormat::kText;
  if (request.format == SheetFormat::kSvg || request.path.ends_with(".txt")) return request;
  return tl::unexpected{"--output: '" + request.path +
                        "' ends in none of .html, .svg and .txt, which say how to write it"};
}

tl::expected<CardRequest, std::string> card_request(const CommandLine& line) {
  CardRequest request{line.arguments.front(), line.value("--output").value_or(""), line.value("--fault")};
  if (request.path.ends_with(".png")) return request;
  return tl::unexpected{"--output: '" + request.path + "' doesn't end in .png, which is what is written"};
}

tl::expected<VerifyRequest, std::string> verify_request(const CommandLine& line) {
  VerifyRequest request;
  if (auto complaint = source_complaint(line); !complaint.empty())
    return tl::unexpected{std::move(complaint)};
  request.kit = line.arguments.front();
  request.link = line.value("--link").value_or("");
  request.snapshot = line.value("--snapshot").value_or("");
  request.serial = line.value("--serial");
  request.by = line.value("--by").value_or("");
  request.share = line.has("--share");
  request.json = line.has("--json");

  const std::string address = line.value("--address").value_or("");
  const auto number = whole_number(address);
  if (!number || *number < 1 || *number > 247) {
    return tl::unexpected{"--address: '" + address +
                          "' is no unit address; a whole number from 1 to 247 is meant"};
  }
  request.address = static_cast<int>(*number);
  request.address_given = line.has("--address");

  const std::string timeout = line.value("--timeout").value_or("");
  const auto span = duration(timeout);
  if (!span) {
    return tl::unexpected{"--timeout: '" + timeout +
                          "' is no time; 500ms, 10s or 2min is meant, an hour at most"};
  }
  request.timeout = *span;

  auto attestations = strap_words("--attest", line.all("--attest"));
  if (!attestations) return tl::unexpected{std::move(attestations.error())};
  request.attestations = std::move(*attestations);
  if (!request.attestations.empty() && request.by.find_first_not_of(" \t") == std::string::npos) {
    return tl::unexpected{std::string{"--attest needs --by NAME: the name of who has looked"}};
  }
  if (request.serial && request.serial->empty()) {
    return tl::unexpected{std::string{"--serial is empty; the serial number on the unit's label is meant"}};
  }
  for (const auto& path : line.all("--report")) {
    const auto format = format_of(path);
    if (!format) {
      return tl::unexpected{"--report: '" + path +
                            "' ends in neither .txt nor .json, which say how to write it"};
    }
    request.reports.push_back({path, *format});
  }
  request.trace = line.value("--trace").value_or("");
  if (auto twice = named_twice(request); !twice.empty()) return tl::unexpected{std::move(twice)};
  return request;
}

}  // namespace host::cli
