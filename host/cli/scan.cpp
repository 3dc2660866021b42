#include "host/link/scan/scan.hpp"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <vector>

#include "host/cli/commands.hpp"
#include "host/cli/link_words.hpp"
#include "host/cli/progress.hpp"
#include "host/cli/signals.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"

namespace host::cli {
namespace {

using link::Sharing;
using link::scan::FoundUnit;
using link::scan::ScanResult;
using link::scan::Tried;
using report::json::Value;

// As a shell reads it back.
std::string shell_word(std::string_view text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string{"'\\''"} : std::string(1, c);
  return out + "'";
}

void add(std::string& out, std::string_view name, const std::string& text) {
  if (!text.empty())
    out.append("  ").append(name).append(12 - name.size(), ' ').append(report::cleaned(text)).append("\n");
}

std::string text_of(const FoundUnit& unit) {
  std::string out = "unit " + std::to_string(unit.address) + " on " + report::cleaned(unit.place) + "\n";
  if (unit.identity.sharing == Sharing::kCertain) {
    out +=
        "  TWO UNITS SHARE THIS ADDRESS: both answer each question, and differ. Take one off the line and give it another "
        "address.\n";
  } else if (unit.identity.sharing == Sharing::kTwice) {
    out +=
        "  TWO UNITS MAY SHARE THIS ADDRESS: each question has two answers, alike. They have one serial number, or "
        "something on the line repeats what it hears. Take one unit off the line and search again.\n";
  } else if (unit.identity.sharing == Sharing::kLikely) {
    out +=
        "  TWO UNITS MAY SHARE THIS ADDRESS: its answers come damaged each time, and nothing else does. Take one "
        "unit off the line and search again; if that changes nothing, look at termination, bias and ground.\n";
  }
  add(out, "serial", unit.identity.serial);
  add(out, "model", unit.identity.model);
  add(out, "firmware", unit.identity.firmware);
  add(out, "board", unit.identity.board);
  add(out, "profile", unit.identity.profile);
  if (unit.identity.sharing == Sharing::kNo) {
    add(out, "answers in", std::to_string(unit.answered_in.count() / 1000) + " ms");
  }
  add(out, "use", "--link " + shell_word(unit.link) + " --address " + std::to_string(unit.address));
  return out;
}

std::string range_of(const Tried& tried) {
  if (tried.lowest == tried.highest) return "address " + std::to_string(tried.lowest);
  return "addresses " + std::to_string(tried.lowest) + " to " + std::to_string(tried.highest);
}

bool alike(const Tried& one, const Tried& other) {
  return one.lowest == other.lowest && one.highest == other.highest && one.noise == other.noise &&
         one.counted == other.counted &&
         one.place.substr(0, one.place.find(" at ")) == other.place.substr(0, other.place.find(" at "));
}

std::string text_of(const ScanResult& result) {
  std::string out;
  for (const auto& unit : result.units) out += text_of(unit);
  // Settings at which the same was asked stand together.
  std::string asked;
  for (std::size_t i = 0; i < result.tried.size(); ++i) {
    const Tried& first = result.tried[i];
    asked += (asked.empty() ? "" : "; ") + range_of(first) + " on " + first.place;
    const std::size_t at = first.place.find(" at ");
    while (at != std::string::npos && i + 1 < result.tried.size() && alike(result.tried[i + 1], first)) {
      asked += ", " + result.tried[++i].place.substr(at + 4);
    }
    if (first.noise) asked += ": something came that was no answer";
    const std::string counted = link::to_text(first.counted.value_or(link::LineCounters{}));
    if (!counted.empty()) asked += (first.noise ? ", " : ": ") + ("characters " + counted);
  }
  if (!asked.empty()) out += "Asked " + report::cleaned(asked) + ".\n";
  return out;
}

std::string_view word_of(Sharing sharing) {
  switch (sharing) {
    case Sharing::kTwice:
    case Sharing::kLikely: return "likely";
    case Sharing::kCertain: return "certain";
    case Sharing::kNo: break;
  }
  return "no";
}

Value json_of(const link::LineCounters& counters) {
  Value value;
  value.set("parity", static_cast<std::int64_t>(counters.parity));
  value.set("framing", static_cast<std::int64_t>(counters.framing));
  value.set("overruns", static_cast<std::int64_t>(counters.overruns));
  value.set("breaks", static_cast<std::int64_t>(counters.breaks));
  return value;
}

Value json_of(const ScanResult& result, const std::string& link) {
  Value::Array units;
  for (const auto& unit : result.units) {
    Value one;
    one.set("link", unit.link);
    one.set("address", static_cast<std::int64_t>(unit.address));
    one.set("shared_address", word_of(unit.identity.sharing));
    const auto text = [&](const char* key, const std::string& value) {
      if (!value.empty()) one.set(key, value);
    };
    text("serial", unit.identity.serial);
    text("model", unit.identity.model);
    text("firmware", unit.identity.firmware);
    text("board", unit.identity.board);
    text("profile", unit.identity.profile);
    one.set("answered_in_us", static_cast<std::int64_t>(unit.answered_in.count()));
    units.push_back(std::move(one));
  }
  Value::Array tried;
  for (const auto& at : result.tried) {
    Value one;
    one.set("place", at.place);
    one.set("questions", static_cast<std::int64_t>(at.questions));
    one.set("lowest_address", static_cast<std::int64_t>(at.lowest));
    one.set("highest_address", static_cast<std::int64_t>(at.highest));
    one.set("noise", at.noise);
    if (at.counted) one.set("driver_counted", json_of(*at.counted));
    tried.push_back(std::move(one));
  }
  Value document;
  document.set("link", link);
  document.set("units", std::move(units));
  document.set("tried", std::move(tried));
  if (result.ended) document.set("ended", result.ended->message);
  return document;
}

bool has_heard_noise(const std::vector<ScanResult>& results) {
  return std::any_of(results.begin(), results.end(), [](const ScanResult& result) {
    return std::any_of(result.tried.begin(), result.tried.end(), [](const Tried& one) { return one.noise; });
  });
}

std::string why_nobody(const std::vector<link::LinkUrl>& links, const std::vector<ScanResult>& results) {
  const bool is_network = std::all_of(links.begin(), links.end(), [](const link::LinkUrl& link) {
    return std::holds_alternative<link::TcpLink>(link.target);
  });
  if (has_heard_noise(results)) {
    return is_network
               ? "no unit answered soundly, though something came: look what listens at that port, and at the "
                 "speed and parity set there"
               : "no unit answered soundly, though something came: look at termination, bias and ground of the "
                 "line";
  }
  return is_network
             ? "no unit answered; look at its power and its line to the device server, then at the speed and "
               "parity set there"
             : "no unit answered; look at its power and the service cable first, on RS-485 the two wires may "
               "be swapped";
}

// Two units on one address is what a field engineer must see first, then that there was any, then why not.
ExitCode code_of(const std::vector<ScanResult>& results) {
  ExitCode none = ExitCode::kUnavailable;
  bool found = false;
  for (const auto& result : results) {
    for (const auto& unit : result.units) {
      if (unit.identity.sharing != Sharing::kNo) return ExitCode::kFail;
      found = true;
    }
    if (!result.ended) continue;
    const auto code = static_cast<ExitCode>(result.ended->exit_code);
    if (result.ended->fault == link::Fault::kCancelled) return code;
    if (none == ExitCode::kUnavailable) none = code;
  }
  return found ? ExitCode::kPass : none;
}

// By whatever name a device is called.
bool is_same_place(const link::LinkUrl& one, const link::LinkUrl& other) {
  const auto* serial = std::get_if<link::SerialLink>(&one.target);
  const auto* another = std::get_if<link::SerialLink>(&other.target);
  std::error_code none;
  return one.text == other.text ||
         (serial != nullptr && another != nullptr &&
          (serial->path == another->path || std::filesystem::equivalent(serial->path, another->path, none)));
}

std::vector<ScanResult> searched(const std::vector<link::LinkUrl>& links, const ScanRequest& request,
                                 const Context& context, link::trace::Writer* trace,
                                 const link::CancelToken& cancel) {
  Progress line{context.environment.stderr_is_terminal, context.environment.stdout_columns};
  std::vector<link::scan::Search> searches;
  searches.reserve(links.size());
  for (const auto& link : links) {
    link::scan::ScanOptions options;
    options.first_address = static_cast<std::uint8_t>(request.first_address);
    options.last_address = static_cast<std::uint8_t>(request.last_address);
    options.share = request.share;
    options.trace = trace;
    options.catalog = simulator_catalogue(link, context.catalogue);
    options.progress = [&line](const std::string& place, unsigned address) {
      line.show("asking address " + std::to_string(address) + " on " + report::cleaned(place) + " ...");
    };
    searches.push_back({link, std::move(options)});
  }
  return scan_all(searches, link::Deadline::after(request.timeout), cancel);
}

}  // namespace

tl::expected<ExitCode, Failure> run_scan(const ScanRequest& request, const Context& context) {
  std::vector<link::LinkUrl> links;
  for (const auto& text : request.links) {
    auto parsed = link::parse_link(text);
    if (!parsed) return tl::unexpected{link_failure(parsed.error())};
    const auto same = std::find_if(links.begin(), links.end(),
                                   [&](const auto& link) { return is_same_place(link, *parsed); });
    if (same != links.end()) {
      const std::string both =
          same->text == text ? text + " is named twice" : same->text + " and " + text + " are one port";
      return tl::unexpected{Failure{ExitCode::kUsage, {report::cleaned(both) + "; name each place once"}}};
    }
    links.push_back(std::move(*parsed));
  }
  auto trace = open_trace(request.trace);
  if (!trace) return tl::unexpected{trace.error()};

  link::CancelToken cancel;
  const SignalWatch watch{cancel};
  const std::vector<ScanResult> results = searched(links, request, context, trace->get(), cancel);
  std::string text;
  Value::Array by_link;
  Failure failure{ExitCode::kPass, {}};
  for (std::size_t i = 0; i < results.size(); ++i) {
    text += text_of(results[i]);
    by_link.push_back(json_of(results[i], links[i].text));
    if (!results[i].ended) continue;
    const std::string message = link_failure(*results[i].ended).messages.front();
    const bool names_it = results.size() == 1 || message.find(links[i].text) != std::string::npos;
    failure.messages.push_back(names_it ? message : links[i].text + ": " + message);
  }
  Value document;
  document.set("schema", "strapline/scan/1");
  document.set("links", std::move(by_link));
  if (const auto written = answer(request.json ? write(document) : text); !written) {
    return tl::unexpected{written.error()};
  }
  if (const auto closed = close_trace(trace->get()); !closed) return tl::unexpected{closed.error()};
  failure.code = code_of(results);
  if (failure.code == ExitCode::kUnavailable && failure.messages.empty()) {
    failure.messages.emplace_back(why_nobody(links, results));
  }
  if (failure.messages.empty()) return failure.code;
  return tl::unexpected{std::move(failure)};
}

}  // namespace host::cli
