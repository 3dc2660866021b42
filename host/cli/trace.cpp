#include <array>
#include <cerrno>
#include <cstdio>
#include <optional>
#include <utility>

#include "host/cli/commands.hpp"
#include "host/link/trace/explain.hpp"
#include "host/link/trace/reader.hpp"
#include "host/report/columns.hpp"
#include "host/report/document.hpp"
#include "protocol/points/words.hpp"

namespace host::cli {
namespace {

using link::trace::Record;

constexpr std::size_t kTextHeld = 64 * 1024;  // written out when so much has come together
constexpr int kValuesWidth = 96;

Failure bad_trace(const link::trace::TraceError& error) {
  ExitCode code = ExitCode::kData;
  if (error.reason == ENOENT || error.reason == ENOTDIR) code = ExitCode::kNoInput;
  if (error.reason == EACCES || error.reason == EPERM) code = ExitCode::kPermission;
  return {code, {error.message + "; " + error.remedy}};
}

tl::expected<std::unique_ptr<link::trace::Reader>, Failure> opened(const std::string& path) {
  auto reader = link::trace::Reader::open(path);
  if (!reader) return tl::unexpected{bad_trace(reader.error())};
  if (!(*reader)->carrier()) {
    return tl::unexpected{
        Failure{ExitCode::kData,
                {path + " holds no serial line and no Modbus/TCP; give a capture of link type 250 or 101"}}};
  }
  return std::move(*reader);
}

// Six places, because a trace tells microseconds.
std::string seconds(std::int64_t microseconds) {
  std::array<char, 40> text{};
  std::snprintf(text.data(), text.size(), "%lld.%06lld", static_cast<long long>(microseconds / 1'000'000),
                static_cast<long long>(microseconds % 1'000'000));
  return text.data();
}

std::string octets_of(const Record& record) {
  constexpr std::array<char, 16> kDigits{'0', '1', '2', '3', '4', '5', '6', '7',
                                         '8', '9', 'A', 'B', 'C', 'D', 'E', 'F'};
  std::string text;
  for (const std::uint8_t octet : record.octets) {
    if (!text.empty()) text += ' ';
    text += kDigits.at(octet >> 4U);
    text += kDigits.at(octet & 0x0FU);
  }
  return text;
}

std::string_view direction(Record::Kind kind) {
  switch (kind) {
    case Record::Kind::kSent: return "sent";
    case Record::Kind::kReceived: return "received";
    case Record::Kind::kDamaged: return "damaged";
    case Record::Kind::kLost: break;
  }
  return "lost";
}

void indent(std::string& out, const std::string& text, const std::string& ahead) {
  for (const auto& line : report::wrapped(text, kValuesWidth)) out += ahead + line + '\n';
}

// "after 2.0 ms".
std::string after(std::int64_t microseconds) {
  const std::int64_t tenths = (microseconds + 50) / 100;
  return "after " + std::to_string(tenths / 10) + '.' + std::to_string(tenths % 10) + " ms";
}

/// `sent_us` is when what was asked last went out; nothing if it has been answered.
std::string shown(const Record& record, const link::trace::Meaning& meaning, std::int64_t start_us,
                  std::optional<std::int64_t> sent_us) {
  std::string out = seconds(std::max<std::int64_t>(0, record.at_us - start_us));
  out.insert(0, out.size() < 12 ? 12 - out.size() : 0, ' ');
  out.append("  ").append(direction(record.kind)).append(10 - direction(record.kind).size(), ' ');
  out += report::cleaned(meaning.text);
  if (sent_us && record.at_us >= *sent_us) out += ", " + after(record.at_us - *sent_us);
  out += '\n';
  const std::string ahead(24, ' ');
  if (!record.octets.empty()) indent(out, octets_of(record), ahead);
  std::string values;
  for (const auto& value : meaning.points) {
    values += (values.empty() ? "" : "; ") + std::string{protocol::points::words(value.point).name} + " " +
              report::cleaned(to_text(value));
  }
  if (!values.empty()) indent(out, values, ahead);
  return out;
}

// A cell that a table program might take for a formula begins with an apostrophe. Source  RFC 4180 (quotes).
std::string cell(std::string text) {
  text = report::cleaned(text);
  if (!text.empty() && std::string_view{"=+-@\t"}.find(text.front()) != std::string_view::npos)
    text.insert(0, "'");
  if (text.find_first_of(",\"\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted.append(c == '"' ? 2 : 1, c);
  return quoted + '"';
}

std::string value_cell(const link::trace::PointValue& value) {
  switch (value.reading.kind) {
    case protocol::points::Reading::Kind::kNumber: return std::to_string(value.reading.number);
    case protocol::points::Reading::Kind::kText: return cell(std::string{value.reading.text()});
    case protocol::points::Reading::Kind::kUnread: break;
  }
  return to_text(value);
}

std::string rows(const Record& record, const link::trace::Meaning& meaning, std::int64_t start_us,
                 const std::vector<std::string>& wanted) {
  std::string out;
  for (const auto& value : meaning.points) {
    const auto& words = protocol::points::words(value.point);
    if (!wanted.empty() && std::find(wanted.begin(), wanted.end(), words.name) == wanted.end()) continue;
    out += seconds(std::max<std::int64_t>(0, record.at_us - start_us)) + ',' + std::to_string(meaning.unit) +
           ',' + std::string{words.name} + ',' + value_cell(value) + ',' + cell(std::string{words.unit}) +
           '\n';
  }
  return out;
}

/// Calls `take` with each record and its meaning, until it says what is wrong.
template <typename Take>
tl::expected<std::uint64_t, Failure> each_record(link::trace::Reader& reader, Take take) {
  link::trace::Explainer explainer{*reader.carrier()};
  std::uint64_t count = 0;
  while (true) {
    const auto record = reader.next();
    if (!record) return tl::unexpected{bad_trace(record.error())};
    if (!*record) return count;
    ++count;
    if (const tl::expected<void, Failure> taken = take(**record, explainer.explain(**record)); !taken) {
      return tl::unexpected{taken.error()};
    }
  }
}

}  // namespace

tl::expected<ExitCode, Failure> run_trace_show(const TraceShowRequest& request, const Context&) {
  const auto reader = opened(request.path);
  if (!reader) return tl::unexpected{reader.error()};
  std::string text;
  std::optional<std::int64_t> start_us;
  std::optional<std::int64_t> sent_us;
  if (const auto& known = (*reader)->preamble()) {
    text = known->carrier == link::trace::Carrier::kMbap
               ? "Modbus/TCP"
               : std::to_string(known->baud) + " Bd 8" + known->parity + std::to_string(known->stop_bits);
    text += ", unit " + std::to_string(known->unit_address) + "; seconds since the first octet\n";
  }
  const auto count = each_record(**reader, [&](const Record& record, const link::trace::Meaning& meaning) {
    if (!start_us) start_us = record.at_us;
    const bool answers = record.kind == Record::Kind::kReceived;
    text += shown(record, meaning, *start_us, answers ? std::exchange(sent_us, std::nullopt) : std::nullopt);
    if (record.kind == Record::Kind::kSent) sent_us = record.at_us;
    tl::expected<void, Failure> written;
    if (text.size() >= kTextHeld) {
      written = answer(text);
      text.clear();
    }
    return written;
  });
  if (count && *count == 0) text += "nothing was said\n";
  if (const auto written = answer(text); !written) return tl::unexpected{written.error()};
  if (!count) return tl::unexpected{count.error()};
  return ExitCode::kPass;
}

tl::expected<ExitCode, Failure> run_trace_extract(const TraceExtractRequest& request, const Context&) {
  const auto reader = opened(request.path);
  if (!reader) return tl::unexpected{reader.error()};
  auto file = PendingFile::create(request.output);
  if (!file) return tl::unexpected{file.error()};
  // Readings are a small part of what is on a wire; a table of more than this is no table.
  constexpr std::size_t kTableMax = std::size_t{256} * 1024 * 1024;
  std::string text = "seconds,unit,point,value,quantity_unit\n";
  std::optional<std::int64_t> start_us;
  const auto count = each_record(
      **reader,
      [&](const Record& record, const link::trace::Meaning& meaning) -> tl::expected<void, Failure> {
        if (!start_us) start_us = record.at_us;
        text += rows(record, meaning, *start_us, request.points);
        if (text.size() < kTableMax) return {};
        return tl::unexpected{Failure{ExitCode::kData, {"the trace holds more readings than fit a table"}}};
      });
  if (!count) return tl::unexpected{count.error()};
  if (const auto written = file->commit(text); !written) return tl::unexpected{written.error()};
  return ExitCode::kPass;
}

}  // namespace host::cli
