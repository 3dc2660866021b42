#include "host/report/strap_drawing.hpp"

#include <algorithm>

#include "host/report/columns.hpp"

namespace host::report {
namespace {

constexpr int kIndent = 4;
constexpr int kBetween = 6;  // columns between expected and read

struct Setting {
  unsigned bits = 0;
  unsigned care = 0;
  bool known = true;
};

bool bit(unsigned bits, int index) {
  return ((bits >> static_cast<unsigned>(index)) & 1U) != 0;
}

void pad_all(std::vector<std::string>& lines) {
  int width = 0;
  for (const auto& line : lines) width = std::max(width, columns_of(line));
  for (auto& line : lines) line = padded(line, width);
}

// `text` centred on column `centre` of `line`, which so far ends before it.
void put_centred(std::string& line, int centre, std::string_view text) {
  line = padded(line, centre - (columns_of(text) - 1) / 2) + std::string{text};
}

std::string position_text(const StrapDrawing& strap, const Setting& setting) {
  if (!setting.known) return "not known";
  std::string text;
  if (strap.kind == StrapDrawing::Kind::kSwitches) {
    for (int way = 0; way < strap.count; ++way) {
      text += !bit(setting.care, way) ? 'x' : bit(setting.bits, way) ? '1' : '0';
    }
    return text;
  }
  if (setting.care == 0) return "any position";
  for (int cap = 0; cap + 1 < strap.count; ++cap) {
    if (!bit(setting.bits, cap)) continue;
    if (!text.empty()) text += '+';
    text += std::to_string(cap + 1) + '-' + std::to_string(cap + 2);
  }
  return text.empty() ? "open" : text;
}

// Columns from pin to pin: as the nets need where all of them fit, else close together.
int pitch_of(const StrapDrawing& strap, int width) {
  int pitch = 4;
  for (const auto& net : strap.nets) pitch = std::max(pitch, (columns_of(net) + 2) / 2 * 2);
  const bool fits = 2 * (strap.count * pitch + 2) + kBetween + kIndent <= width;
  return fits ? pitch : 4;
}

bool nets_fit(const StrapDrawing& strap, int pitch) {
  return std::all_of(strap.nets.begin(), strap.nets.end(),
                     [&](const auto& net) { return columns_of(net) < pitch; });
}

std::vector<std::string> jumper_lines(const StrapDrawing& strap, const Setting& setting, int pitch,
                                      bool with_nets) {
  std::string top, pins, bottom, numbers, nets;
  const int first = with_nets ? pitch / 2 : 2;
  const auto capped = [&](int cap) {
    return setting.known && cap >= 0 && cap + 1 < strap.count && bit(setting.bits & setting.care, cap);
  };
  for (int pin = 0; pin < strap.count; ++pin) {
    const int centre = first + pin * pitch;
    const bool from_left = capped(pin - 1);
    const bool to_right = capped(pin);
    if (to_right && !from_left) {
      top = padded(top, centre - 1) + "┌─";
      pins = padded(pins, centre - 1) + "│";
      bottom = padded(bottom, centre - 1) + "└─";
    }
    const bool unsaid = !setting.known || setting.care == 0;
    put_centred(pins, centre, unsaid ? (setting.known ? "░" : "?") : from_left || to_right ? "●" : "○");
    if (to_right) {
      for (int column = 0; column < pitch; ++column) {
        top += "─";
        bottom += "─";
        if (column > 0) pins += "━";
      }
    } else if (from_left) {
      top += "┐";
      pins += "│";
      bottom += "┘";
    }
    put_centred(numbers, centre, pin == 0 ? "[1]" : std::to_string(pin + 1));
    if (with_nets) put_centred(nets, centre, strap.nets[static_cast<std::size_t>(pin)]);
  }
  std::vector<std::string> lines{top, pins, bottom, numbers};
  if (with_nets) lines.push_back(nets);
  return lines;
}

std::vector<std::string> bank_lines(const StrapDrawing& strap, const Setting& setting, unsigned differs,
                                    int inner) {
  const auto rule = [&](std::string_view left, std::string_view middle, std::string_view right) {
    std::string line = "     ";
    for (int way = 0; way < strap.count; ++way) {
      line += way == 0 ? left : middle;
      for (int column = 0; column < inner; ++column) line += "─";
    }
    return line.append(right);
  };
  const auto cells = [&](std::string_view label, bool upper) {
    std::string line = padded(label, 5);
    for (int way = 0; way < strap.count; ++way) {
      std::string_view body = " ";
      if (!setting.known)
        body = "?";
      else if (!bit(setting.care, way))
        body = "░";
      else if (bit(setting.bits, way) == upper)
        body = "█";
      line += "│";
      for (int column = 0; column < inner; ++column)
        line += inner == 1 || column == inner / 2 || body == "░" ? body : " ";
    }
    return line + "│";
  };
  std::string numbers, marks;
  for (int way = 0; way < strap.count; ++way) {
    const int centre = 6 + way * (inner + 1) + inner / 2;
    put_centred(numbers, centre, std::to_string(way + 1));
    if (bit(differs, way)) put_centred(marks, centre, "▲");
  }
  return {numbers, rule("┌", "┬", "┐"), cells("  on", true), cells(" off", false), rule("└", "┴", "┘"),
          marks};
}

std::string comparison(const StrapDrawing& strap, bool same) {
  if (!strap.read_known) return "NOT KNOWN";
  if (same) return "as expected";
  if (strap.tone == Tone::kGood) return "accepted as well";
  std::string word = "DIFFERS";
  if (!word_of(strap.tone).empty()) word.append(": ").append(word_of(strap.tone));
  return word;
}

}  // namespace

std::string to_text(const StrapDrawing& original, const Ink& ink) {
  StrapDrawing strap = original;
  for (auto& net : strap.nets) net = ink.plain(net);
  if (strap.count < 1 || strap.count > 16) return {};
  if (static_cast<int>(strap.nets.size()) != strap.count) strap.nets.clear();

  const bool jumper = strap.kind == StrapDrawing::Kind::kJumper;
  const unsigned all = (1U << static_cast<unsigned>(jumper ? strap.count - 1 : strap.count)) - 1U;
  const Setting expected{strap.expected, strap.expected_care & all, true};
  const Setting read{strap.read & all, all, strap.read_known};
  const unsigned differs = strap.read_known ? (strap.read ^ strap.expected) & expected.care : 0;
  const bool compares = !strap.actual_word.empty();
  const int pitch = pitch_of(strap, ink.width());
  const bool with_nets = !strap.nets.empty() && nets_fit(strap, pitch);
  const bool wide_cells = 2 * (strap.count * 4 + 6) + kBetween + kIndent <= ink.width();

  const auto panel = [&](std::string_view word, const Setting& setting, unsigned pointed_at) {
    std::vector<std::string> lines = jumper ? jumper_lines(strap, setting, pitch, with_nets)
                                            : bank_lines(strap, setting, pointed_at,
                                                         wide_cells        ? 3
                                                         : strap.count > 9 ? 2
                                                                           : 1);
    lines.insert(lines.begin(), std::string{word} + ' ' + position_text(strap, setting));
    pad_all(lines);
    return lines;
  };

  std::vector<std::string> lines = panel("expected", expected, 0);
  if (compares) {
    const std::vector<std::string> right = panel(ink.plain(strap.actual_word), read, differs);
    if (kIndent + columns_of(lines.front()) + kBetween + columns_of(right.front()) <= ink.width()) {
      for (std::size_t index = 0; index < lines.size(); ++index) {
        lines[index].append(kBetween, ' ').append(right[index]);
      }
    } else {
      lines.insert(lines.end(), right.begin(), right.end());
    }
  }

  std::string out = ink.strong(ink.plain(strap.id));
  if (compares) out += "   " + ink.toned(comparison(strap, differs == 0), strap.tone);
  out += '\n';
  for (auto& line : lines) {
    line = ink.plain(line);
    line.erase(line.find_last_not_of(' ') + 1);
    if (!line.empty()) out += std::string(kIndent, ' ') + line + '\n';
  }
  if (!strap.nets.empty() && !with_nets) {
    std::string nets = "nets:";
    for (std::size_t pin = 0; pin < strap.nets.size(); ++pin) {
      nets += ' ' + std::to_string(pin + 1) + '=' + strap.nets[pin];
    }
    for (const auto& line : wrapped(nets, ink.width() - kIndent))
      out += std::string(kIndent, ' ') + line + '\n';
  }
  return out;
}

}  // namespace host::report
