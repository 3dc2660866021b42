#include "sim/fault/argument.hpp"

#include <array>
#include <charconv>

#include "host/model/nearest.hpp"
#include "host/model/quantity_text.hpp"
#include "host/signal/find_timing.hpp"
#include "protocol/points/words.hpp"

namespace sim::fault {
namespace {

namespace model = host::model;
namespace points = protocol::points;
using Read = tl::expected<Argument, std::string>;

constexpr int kPairMax = 63;
constexpr int kKeyMax = 16;
constexpr std::size_t kTextMax = 64;
constexpr std::array<std::string_view, 4> kForms = {"rgb", "ycbcr-444", "ycbcr-422", "ycbcr-420"};

bool bare_number(std::string_view text) {
  return !text.empty() && text.find_first_not_of("0123456789.") == std::string_view::npos;
}

// A quantity; a bare number counts `unit`.
template <typename Q>
tl::expected<Q, std::string> quantity(std::string_view text, std::string_view unit) {
  std::string whole{text};
  if (bare_number(text)) whole.append(" ").append(unit);
  return model::parse<Q>(whole);
}

template <typename Q>
Read as_argument(const tl::expected<Q, std::string>& read) {
  if (!read) return tl::unexpected(read.error());
  return Argument{*read};
}

tl::expected<model::PartsPerMillion, std::string> signed_share(std::string_view text) {
  const bool negative = !text.empty() && text.front() == '-';
  if (!text.empty() && (text.front() == '-' || text.front() == '+')) text.remove_prefix(1);
  auto share = quantity<model::PartsPerMillion>(text, "%");
  if (share && share->count > 1'000'000)
    return tl::unexpected(std::string{"takes a share from -100 % to 100 %"});
  if (share && negative) share->count = -share->count;
  return share;
}

Read share(std::string_view text) {
  const auto read = quantity<model::PartsPerMillion>(text, "%");
  if (read && read->count > 1'000'000) return tl::unexpected(std::string{"takes 0 % to 100 %"});
  return as_argument(read);
}

Read whole_number(std::string_view text, int min, int max, std::string_view what, bool is_key) {
  int number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || end != text.data() + text.size() || number < min || number > max) {
    return tl::unexpected("takes " + std::string{what});
  }
  if (is_key) return Argument{Key{number}};
  return Argument{Pair{number, false}};
}

Read degrees(std::string_view text) {
  std::string whole{text};
  if (!whole.empty() && whole.back() == 'C' && !whole.ends_with("°C")) {
    whole.pop_back();
    while (!whole.empty() && whole.back() == ' ') whole.pop_back();
  }
  const bool negative = whole.starts_with('-');
  if (bare_number(negative ? std::string_view{whole}.substr(1) : std::string_view{whole})) whole += " °C";
  const auto read = model::parse<model::Millidegrees>(whole);
  constexpr std::int64_t kMax = 200'000;
  if (read && (read->count < -kMax || read->count > kMax)) {
    return tl::unexpected(std::string{"takes a temperature from -200 to 200 °C"});
  }
  return as_argument(read);
}

Read reading_error(std::string_view text) {
  const std::size_t comma = text.find(',');
  if (comma == std::string_view::npos) {
    return tl::unexpected(std::string{"takes a point and a share, as rails.panel_out_mv,10 %"});
  }
  const std::string_view wanted = text.substr(0, comma);
  const auto point = points::find(wanted);
  if (!point) {
    std::vector<std::string_view> names;
    for (const points::Words& each : points::all_words()) names.push_back(each.name);
    const auto near = model::nearest(wanted, names);
    return tl::unexpected("knows no point \"" + std::string{wanted.substr(0, kTextMax)} + "\"" +
                          (near ? "; did you mean '" + *near + "'?" : "; points are those of REGISTERS.md"));
  }
  std::string_view off = text.substr(comma + 1);
  while (off.starts_with(' ')) off.remove_prefix(1);
  const auto gain = signed_share(off);
  if (!gain) return tl::unexpected(gain.error());
  return Argument{ReadingError{*point, *gain}};
}

Read colour(std::string_view text) {
  for (std::size_t i = 0; i < kForms.size(); ++i) {
    if (kForms[i] == text) return Argument{static_cast<ColourForm>(i)};
  }
  return tl::unexpected("takes a colour form; " + model::nearest_hint(text, kForms, "forms"));
}

Read name(std::string_view text, std::string_view what) {
  const bool clean = std::all_of(text.begin(), text.end(), [](char c) { return c > ' ' && c < '\x7f'; });
  if (text.empty() || text.size() > kTextMax || !clean) return tl::unexpected("takes " + std::string{what});
  return Argument{std::string{text}};
}

}  // namespace

Read parse_argument(Form form, std::string_view text) {
  switch (form) {
    case Form::kVolts: return as_argument(quantity<model::Millivolts>(text, "V"));
    case Form::kMilliamps: return as_argument(quantity<model::Milliamps>(text, "mA"));
    case Form::kPercent: return share(text);
    case Form::kSignedPercent: return as_argument(signed_share(text));
    case Form::kHertz: return as_argument(quantity<model::Hertz>(text, "Hz"));
    case Form::kDegrees: return degrees(text);
    case Form::kPairOrClock:
      if (text == "clock") return Argument{Pair{0, true}};
      return whole_number(text, 0, kPairMax, "the number of a pair, from 0, or clock", false);
    case Form::kPair: return whole_number(text, 0, kPairMax, "the number of a pair, from 0", false);
    case Form::kLevel:
      if (text == "low" || text == "high") return Argument{text == "low" ? Level::kLow : Level::kHigh};
      if (const auto volts = quantity<model::Millivolts>(text, "V")) return Argument{*volts};
      return tl::unexpected(std::string{"takes low, high or a voltage, as 1.2 V"});
    case Form::kTiming: {
      const auto timing = host::signal::find_timing(text);
      if (!timing) return tl::unexpected("takes a timing: " + timing.error());
      return Argument{NamedTiming{std::string{text}, *timing}};
    }
    case Form::kColour: return colour(text);
    case Form::kKey:
      return whole_number(text.starts_with("key-") ? text.substr(4) : text, 1, kKeyMax,
                          "the number of a key, from 1", true);
    case Form::kStrap: return name(text, "the id of a strap, as BR1");
    case Form::kPointAndPercent: return reading_error(text);
    case Form::kPanel: return name(text, "the id of a panel");
    case Form::kKit: return name(text, "the id of a kit");
    case Form::kSerial: return name(text, "a serial format, as 9600-8N1");
    case Form::kNone: break;
  }
  return tl::unexpected(std::string{"takes no argument"});
}

std::string to_text(const Argument& argument) {
  struct Writer {
    std::string operator()(std::monostate) const { return {}; }
    std::string operator()(model::Millivolts mv) const { return model::to_text(mv); }
    std::string operator()(model::Milliamps ma) const { return model::to_text(ma); }
    std::string operator()(model::PartsPerMillion ppm) const {
      if (ppm.count < 0) return "-" + model::to_text(model::PartsPerMillion{-ppm.count});
      return model::to_text(ppm);
    }
    std::string operator()(model::Hertz hz) const { return model::to_text(hz); }
    std::string operator()(model::Millidegrees mdegc) const { return model::to_text(mdegc); }
    std::string operator()(Pair pair) const { return pair.clock ? "clock" : std::to_string(pair.index); }
    std::string operator()(Level level) const { return level == Level::kLow ? "low" : "high"; }
    std::string operator()(ColourForm form) const {
      return std::string{kForms[static_cast<std::size_t>(form)]};
    }
    std::string operator()(Key key) const { return std::to_string(key.number); }
    std::string operator()(const ReadingError& off) const {
      return std::string{points::words(off.point).name} + "," + (*this)(off.gain);
    }
    std::string operator()(const NamedTiming& timing) const { return timing.name; }
    std::string operator()(const std::string& text) const { return text; }
  };
  return std::visit(Writer{}, argument);
}

}  // namespace sim::fault
