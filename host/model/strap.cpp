#include "host/model/strap.hpp"

#include <cctype>

namespace host::model {
namespace {

std::uint16_t bit(std::size_t n) {
  return static_cast<std::uint16_t>(1U << n);
}

bool is_bank(const Strap& strap) {
  return strap.kind == StrapKind::kSwitches;
}

std::string pins(std::size_t n) {
  return std::to_string(n + 1) + "-" + std::to_string(n + 2);
}

std::string jumper_forms(const Strap& strap) {
  std::string forms = "'open'";
  for (std::size_t n = 0; n < strap.bit_count(); ++n) forms += ", '" + pins(n) + "'";
  if (strap.bit_count() >= 3) forms += ", or two caps such as '1-2+3-4'";
  return forms;
}

std::string jumper_remedy(const Strap& strap, std::string_view text) {
  return "'" + std::string(text) + "' is no position of " + strap.id + ", a jumper of " +
         std::to_string(strap.count) + " pins; write " + jumper_forms(strap);
}

std::string bank_remedy(const Strap& strap, std::string_view text, bool either) {
  return "'" + std::string(text) + "' is no position of " + strap.id + "; write " +
         std::to_string(strap.bit_count()) + " digits, way 1 first, 1 for on and 0 for off" +
         (either ? ", x for either" : "");
}

tl::expected<Pattern, std::string> parse_bank(const Strap& strap, std::string_view text) {
  Pattern pattern;
  if (text.size() != strap.bit_count()) return tl::unexpected(bank_remedy(strap, text, true));
  for (std::size_t way = 0; way < text.size(); ++way) {
    switch (text[way]) {
      case '1': pattern.bits |= bit(way); [[fallthrough]];
      case '0': pattern.care |= bit(way); break;
      case 'x': break;
      default: return tl::unexpected(bank_remedy(strap, text, true));
    }
  }
  return pattern;
}

/// Takes "2-3" off the front of text; the number of its bit, or nothing.
std::size_t take_pair(std::string_view& text, std::size_t bit_count) {
  std::size_t pin[2] = {0, 0};
  for (int side = 0; side < 2; ++side) {
    std::size_t used = 0;
    while (used < text.size() && used < 2 && std::isdigit(static_cast<unsigned char>(text[used])) != 0) {
      pin[side] = pin[side] * 10 + static_cast<std::size_t>(text[used++] - '0');
    }
    if (used == 0 || text[0] == '0') return bit_count;
    text.remove_prefix(used);
    if (side == 1) continue;
    if (text.empty() || text[0] != '-') return bit_count;
    text.remove_prefix(1);
  }
  return pin[1] == pin[0] + 1 && pin[0] <= bit_count ? pin[0] - 1 : bit_count;
}

tl::expected<Pattern, std::string> parse_jumper(const Strap& strap, std::string_view text) {
  Pattern pattern{.care = static_cast<std::uint16_t>(bit(strap.bit_count()) - 1)};
  if (text == "open") return pattern;
  std::string_view rest = text;
  for (std::size_t next = 0;;) {
    const std::size_t n = take_pair(rest, strap.bit_count());
    if (n >= strap.bit_count()) return tl::unexpected(jumper_remedy(strap, text));
    if (n < next) {
      return tl::unexpected("'" + std::string(text) + "' puts two caps on one pin of " + strap.id +
                            ", or not in rising order; write " + jumper_forms(strap));
    }
    pattern.bits |= bit(n);
    next = n + 2;
    if (rest.empty()) return pattern;
    if (rest[0] != '+') return tl::unexpected(jumper_remedy(strap, text));
    rest.remove_prefix(1);
  }
}

}  // namespace

std::string_view to_text(Evidence evidence) {
  switch (evidence) {
    case Evidence::kMeasured: return "measured";
    case Evidence::kSensed: return "sensed";
    case Evidence::kAtReset: return "at-reset";
    case Evidence::kDeclared: return "declared";
    case Evidence::kInferred: return "inferred";
    case Evidence::kAttested: return "attested";
    case Evidence::kUnread: return "unread";
  }
  return "unread";
}

std::uint16_t Strap::bit_count() const {
  return kind == StrapKind::kJumper ? static_cast<std::uint16_t>(count == 0 ? 0 : count - 1) : count;
}

std::vector<Position> positions(const Strap& strap) {
  std::vector<Position> all;
  const std::uint32_t end = 1U << strap.bit_count();
  for (std::uint32_t bits = 0; bits < end; ++bits) {
    if (!is_bank(strap) && (bits & (bits << 1)) != 0) continue;
    all.push_back({static_cast<std::uint16_t>(bits)});
  }
  return all;
}

std::string to_text(const Strap& strap, Position position) {
  return to_text(strap, Pattern{.care = 0xFFFF, .bits = position.bits});
}

std::string to_text(const Strap& strap, Pattern pattern) {
  std::string text;
  for (std::size_t n = 0; n < strap.bit_count(); ++n) {
    const bool on = (pattern.bits & bit(n)) != 0;
    if (is_bank(strap)) {
      text += (pattern.care & bit(n)) == 0 ? 'x' : on ? '1' : '0';
    } else if (on) {
      text += (text.empty() ? "" : "+") + pins(n);
    }
  }
  return text.empty() ? "open" : text;
}

tl::expected<Pattern, std::string> parse_pattern(const Strap& strap, std::string_view text) {
  return is_bank(strap) ? parse_bank(strap, text) : parse_jumper(strap, text);
}

tl::expected<Position, std::string> parse_position(const Strap& strap, std::string_view text) {
  if (is_bank(strap) && text.find('x') != std::string_view::npos) {
    return tl::unexpected(bank_remedy(strap, text, false));
  }
  const auto pattern = parse_pattern(strap, text);
  if (!pattern) return tl::unexpected(pattern.error());
  return Position{pattern->bits};
}

}  // namespace host::model

template class std::vector<host::model::Position>;
template class std::vector<host::model::Pattern>;
template class std::vector<host::model::Strap>;
