#include "sim/port/option_values.hpp"

#include <algorithm>
#include <charconv>
#include <string_view>

#include "host/model/quantity_text.hpp"
#include "sim/port/option_table.hpp"

namespace sim::port {
namespace {

namespace model = host::model;

constexpr int kUsage = 64;  // sysexits
constexpr std::size_t kSerialOctetsMax = 16;
constexpr std::size_t kPortsMax = 256;
constexpr int kAddressMax = 247;
constexpr double kSpeedMax = 100'000;
constexpr std::int64_t kTurnaroundMax = 60'000'000;  // us

tl::unexpected<Ending> refuse(const std::string& what) {
  return tl::unexpected(usage_error(what));
}

// "K=V" in two.
std::optional<std::pair<std::string, std::string>> halves(std::string_view text) {
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos || equals == 0) return std::nullopt;
  return std::pair{std::string{text.substr(0, equals)}, std::string{text.substr(equals + 1)}};
}

std::vector<std::string> at_commas(const std::vector<std::string>& lists) {
  std::vector<std::string> items;
  for (const std::string& list : lists) {
    std::size_t begin = 0;
    while (begin <= list.size()) {
      const std::size_t end = std::min(list.find(',', begin), list.size());
      items.push_back(list.substr(begin, end - begin));
      begin = end + 1;
    }
  }
  return items;
}

template <typename Number>
std::optional<Number> number(std::string_view text) {
  Number value{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

bool printable(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return c > 0x20 && c < 0x7F; });
}

// Fills an Options from a Given, and keeps the first complaint.
class Reading {
 public:
  explicit Reading(const Given& given) : given_{given} {}

  tl::expected<Options, Ending> all() {
    options_.kit = given_.kit;
    if (options_.kit.empty()) complain("name a kit, as in strapline-sim stop-display --pty /tmp/unit");
    once();
    ports();
    unit();
    line();
    run();
    if (complaint_) return tl::unexpected(*complaint_);
    return std::move(options_);
  }

 private:
  void complain(const std::string& what) {
    if (!complaint_) complaint_ = usage_error(what);
  }

  const std::vector<std::string>& values(const std::string& name) const { return given_.values.at(name); }
  bool given(const std::string& name) const { return !values(name).empty(); }
  // The value of an option that is given once; empty where it isn't.
  std::string value(const std::string& name) const { return given(name) ? values(name).front() : ""; }

  void once() {
    for (const OptionGroup& group : option_groups()) {
      for (const OptionSpec& spec : group.options) {
        const std::string name{spec.name};
        if (!spec.repeatable && !spec.argument.empty() && values(name).size() > 1) {
          complain(name + " is given twice");
        }
        for (const std::string& text : values(name)) {
          if (!spec.argument.empty() && text.empty()) complain(name + " needs a value");
        }
      }
    }
  }

  void ports() {
    using Kind = PortSpec::Kind;
    for (const std::string& where : values("--pty")) options_.ports.push_back({Kind::kPty, where});
    for (const std::string& where : values("--tcp")) options_.ports.push_back({Kind::kTcp, where});
    for (const std::string& where : values("--mbtcp")) options_.ports.push_back({Kind::kMbtcp, where});
    std::vector<std::string> numbers = values("--serial-number");
    for (const std::string& where : values("--serial")) {
      if (where.find('/') != std::string::npos) {
        options_.ports.push_back({Kind::kSerial, where});
      } else {
        numbers.push_back(where);
      }
    }
    if (numbers.size() > 1) complain("the serial number is given twice");
    if (!numbers.empty()) options_.serial = numbers.front();
    if (options_.serial.empty() || options_.serial.size() > kSerialOctetsMax || !printable(options_.serial)) {
      complain("--serial-number takes 1 to 16 printable ASCII characters without blanks");
    }
    if (options_.ports.empty() && !given("--script")) {
      complain("say where to answer, with --pty, --tcp, --mbtcp or --serial, or what to do, with --script");
    }
    if (options_.ports.size() > kPortsMax) complain("at most 256 ports");
  }

  void unit() {
    for (const std::string& item : at_commas(values("--straps"))) {
      if (auto strap = halves(item)) {
        const auto named = [&](const auto& before) { return before.first == strap->first; };
        if (std::ranges::any_of(options_.straps, named))
          complain("--straps: " + strap->first + " is given twice");
        options_.straps.push_back(*std::move(strap));
      } else {
        complain("--straps takes STRAP=POSITION, as in BR1=1-2,S1=1001, not \"" + item + "\"");
      }
    }
    for (const std::string& item : values("--setting")) {
      if (auto setting = halves(item)) {
        options_.settings.push_back(*std::move(setting));
      } else {
        complain("--setting takes KEY=VALUE, as in \"brightness=60 %\", not \"" + item + "\"");
      }
    }
    options_.faults = values("--fault");
    if (given("--source")) options_.source = value("--source");
    options_.within_edge = given("--within");
    if (options_.within_edge && value("--within") != "edge") complain("--within takes edge");
    options_.address = whole("--address", 1, kAddressMax, 1);
    options_.units = whole("--units", 1, kAddressMax, 1);
    if (options_.address + options_.units - 1 > kAddressMax) {
      complain("--units: the last unit's address would be beyond 247");
    }
    if (given("--seed")) {
      const auto seed = number<std::uint64_t>(value("--seed"));
      if (!seed) complain("--seed takes a whole number from 0");
      options_.seed = seed.value_or(1);
    }
    options_.state = value("--state");
    if (given("--state") && options_.units * static_cast<int>(options_.ports.size()) > 1) {
      complain("--state keeps one unit's memory; run one unit with it");
    }
  }

  void line() {
    options_.pace = given("--pace");
    if (given("--baud")) {
      if (const auto baud = line::parse_baud(value("--baud"))) {
        options_.baud = *baud;
      } else {
        complain("--baud: " + baud.error());
      }
    }
    if (given("--parity")) {
      if (const auto parity = line::parse_parity(value("--parity"))) {
        options_.parity = *parity;
      } else {
        complain("--parity: " + parity.error());
      }
    }
    if (given("--stop")) options_.stop_bits = static_cast<std::uint8_t>(whole("--stop", 1, 2, 1));
    if (given("--turnaround")) {
      const auto time = model::parse<model::Microseconds>(value("--turnaround"));
      if (!time || time->count < 0 || time->count > kTurnaroundMax) {
        complain("--turnaround takes a time, as \"2 ms\"");
      } else {
        options_.turnaround = protocol::base::Duration{time->count};
      }
    }
    std::string items;
    for (const std::string& more : values("--noise")) items += (items.empty() ? "" : ",") + more;
    if (const auto noise = line::parse_noise(items)) {
      options_.noise = *noise;
    } else {
      complain(noise.error());
    }
  }

  void run() {
    options_.script = value("--script");
    options_.control = value("--control");
    options_.truth = value("--truth");
    options_.seen = value("--seen");
    options_.catalogues = values("--catalog");
    options_.quiet = given("--quiet");
    options_.remove_folder = given("--remove-folder");
    if (!given("--speed")) return;
    if (value("--speed") == "max") {
      options_.speed.reset();
      if (!options_.ports.empty() || options_.script.empty() || given("--control")) {
        complain("--speed max is for a script without a port; give a number here");
      }
      return;
    }
    options_.speed = number<double>(value("--speed"));
    if (!options_.speed || !(*options_.speed > 0) || *options_.speed > kSpeedMax) {
      complain("--speed takes a number above 0, up to 100000, or max");
    }
  }

  int whole(const std::string& name, int min, int max, int preset) {
    if (!given(name)) return preset;
    const auto read = number<int>(value(name));
    if (read && *read >= min && *read <= max) return *read;
    complain(name + " takes " + std::to_string(min) + " to " + std::to_string(max));
    return preset;
  }

  const Given& given_;
  Options options_;
  std::optional<Ending> complaint_;
};

}  // namespace

Ending usage_error(const std::string& what) {
  return {kUsage, "strapline-sim: " + what + "; see strapline-sim --help\n"};
}

tl::expected<Options, Ending> interpret(const Given& given) {
  return Reading{given}.all();
}

tl::expected<unit::Positions, Ending> with_straps(
    const model::Board& board, unit::Positions positions,
    const std::vector<std::pair<std::string, std::string>>& straps) {
  for (const auto& [id, text] : straps) {
    const auto strap =
        std::find_if(board.straps.begin(), board.straps.end(),
                     [&wanted = id](const model::Strap& candidate) { return candidate.id == wanted; });
    if (strap == board.straps.end()) {
      std::string why = "board ";
      why.append(board.about.id).append(" has no strap \"").append(id).append("\", it has ");
      for (const model::Strap& known : board.straps)
        why.append(&known == &board.straps.front() ? "" : ", ").append(known.id);
      return refuse(why);
    }
    const auto position = model::parse_position(*strap, text);
    if (!position) return refuse(position.error());
    positions[static_cast<std::size_t>(strap - board.straps.begin())] = *position;
  }
  return positions;
}

line::CharacterFormat line_format(const model::Board& board, const Options& options) {
  line::CharacterFormat format;
  format.baud = options.baud.value_or(static_cast<std::uint32_t>(board.service.baud));
  format.parity =
      options.parity.value_or(line::parse_parity(board.service.parity).value_or(line::Parity::kNone));
  const auto standard = static_cast<std::uint8_t>(format.parity == line::Parity::kNone ? 2 : 1);
  format.stop_bits = options.stop_bits.value_or(standard);
  return format;
}

std::string serial_of(const std::string& first, int n) {
  if (n == 0) return first;
  std::size_t digits = 0;
  while (digits < first.size() && digits < 9 && first[first.size() - 1 - digits] >= '0' &&
         first[first.size() - 1 - digits] <= '9') {
    ++digits;
  }
  std::string serial;
  if (digits == 0) {
    serial = first + "-" + std::to_string(n + 1);
  } else {
    const auto number_at_end = number<std::int64_t>(std::string_view{first}.substr(first.size() - digits));
    std::string counted = std::to_string(number_at_end.value_or(0) + n);
    if (counted.size() < digits) counted.insert(0, digits - counted.size(), '0');
    serial = first.substr(0, first.size() - digits) + counted;
  }
  return serial.size() <= kSerialOctetsMax ? serial : serial.substr(serial.size() - kSerialOctetsMax);
}

}  // namespace sim::port
