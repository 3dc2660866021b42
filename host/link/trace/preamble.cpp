#include "host/link/trace/preamble.hpp"

#include <charconv>
#include <cstddef>

#include <fmt/core.h>

namespace host::link::trace {

namespace {

constexpr std::string_view kMark = "strapline-trace 1";

std::optional<std::uint32_t> number(std::string_view text, std::uint32_t least, std::uint32_t most) {
  std::uint32_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool sound =
      error == std::errc{} && end == text.data() + text.size() && value >= least && value <= most;
  return sound ? std::optional{value} : std::nullopt;
}

bool take_format(Preamble& preamble, std::string_view value) {
  if (value.size() != 3 || value[0] != '8' ||
      std::string_view{"NEO"}.find(value[1]) == std::string_view::npos ||
      (value[2] != '1' && value[2] != '2')) {
    return false;
  }
  preamble.parity = value[1];
  preamble.stop_bits = static_cast<std::uint8_t>(value[2] - '0');
  return true;
}

bool take(Preamble& preamble, std::string_view name, std::string_view value) {
  if (name == "carrier") {
    preamble.carrier = value == "mbap" ? Carrier::kMbap : Carrier::kRtu;
    return value == "mbap" || value == "rtu";
  }
  if (name == "format") {
    return take_format(preamble, value);
  }
  if (name == "listens") {
    preamble.listens = value == "yes";
    return value == "yes" || value == "no";
  }
  constexpr std::uint32_t kUnitMax = 247;
  constexpr std::uint32_t kBaudMin = 50;
  constexpr std::uint32_t kBaudMax = 4'000'000;
  constexpr std::uint32_t kLatencyMax = 10'000'000;
  if (name == "unit") {
    const auto found = number(value, 1, kUnitMax);
    preamble.unit_address = static_cast<std::uint8_t>(found.value_or(preamble.unit_address));
    return found.has_value();
  }
  const auto take_number = [&](std::uint32_t& target, std::uint32_t least, std::uint32_t most) {
    const auto found = number(value, least, most);
    target = found.value_or(target);
    return found.has_value();
  };
  if (name == "seed") return take_number(preamble.seed, 0, UINT32_MAX);
  if (name == "baud") return take_number(preamble.baud, kBaudMin, kBaudMax);
  if (name == "latency_us") return take_number(preamble.latency_us, 0, kLatencyMax);
  return true;  // a later version's
}

}  // namespace

std::string to_text(const Preamble& preamble) {
  return fmt::format("{} carrier={} unit={} seed={} baud={} format=8{}{} latency_us={}{}", kMark,
                     preamble.carrier == Carrier::kMbap ? "mbap" : "rtu", preamble.unit_address,
                     preamble.seed, preamble.baud, preamble.parity, preamble.stop_bits, preamble.latency_us,
                     preamble.listens ? " listens=yes" : "");
}

std::optional<Preamble> preamble_of(std::string_view text) {
  if (!text.starts_with(kMark)) {
    return std::nullopt;
  }
  text.remove_prefix(kMark.size());
  if (!text.empty() && text.front() != ' ') {
    return std::nullopt;
  }
  Preamble preamble;
  while (!text.empty()) {
    const std::size_t begin = text.find_first_not_of(' ');
    if (begin == std::string_view::npos) {
      break;
    }
    text.remove_prefix(begin);
    const std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(word.size());
    const std::size_t equals = word.find('=');
    if (equals == std::string_view::npos ||
        !take(preamble, word.substr(0, equals), word.substr(equals + 1))) {
      return std::nullopt;
    }
  }
  return preamble;
}

}  // namespace host::link::trace
