#include "sim/line/noise.hpp"

#include <charconv>
#include <cstdint>
#include <optional>

#include "host/model/quantity_text.hpp"

namespace sim::line {
namespace {

namespace model = host::model;

constexpr std::int64_t kTimeMax = 60'000'000;  // a minute, in us

std::optional<double> probability(std::string_view text) {
  double number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return number >= 0 && number <= 1 ? std::optional{number} : std::nullopt;
}

tl::unexpected<std::string> refuse(std::string_view item) {
  return tl::unexpected("noise \"" + std::string{item} +
                        "\" is none of ber=P, drop=P, double=P (P from 0 to 1), delay=\"20 ms\", "
                        "latency=\"16 ms\", echo");
}

}  // namespace

tl::expected<Noise, std::string> parse_noise(std::string_view text) {
  Noise noise;
  while (!text.empty()) {
    const std::string_view item = text.substr(0, text.find(','));
    text.remove_prefix(item.size() == text.size() ? item.size() : item.size() + 1);
    const std::size_t equals = item.find('=');
    const std::string_view key = item.substr(0, equals);
    const std::string_view value =
        equals == std::string_view::npos ? std::string_view{} : item.substr(equals + 1);
    if (key == "echo" && equals == std::string_view::npos) {
      noise.echo = true;
    } else if (key == "delay" || key == "latency") {
      const auto time = model::parse<model::Microseconds>(value);
      if (!time || time->count < 0 || time->count > kTimeMax) return refuse(item);
      (key == "delay" ? noise.delay : noise.latency) = protocol::base::Duration{time->count};
    } else {
      double* const which = key == "ber"      ? &noise.bit_errors
                            : key == "drop"   ? &noise.drop
                            : key == "double" ? &noise.doubled
                                              : nullptr;
      const auto chance = probability(value);
      if (which == nullptr || !chance) return refuse(item);
      *which = *chance;
    }
  }
  return noise;
}

}  // namespace sim::line
