#include "host/report/ink.hpp"

#include <array>

#include "host/report/columns.hpp"

namespace host::report {
namespace {

struct Spelling {
  char32_t code;
  std::string_view plain;
};

// Characters of our own sentences and drawings, as 7-bit text.
constexpr auto kSpellings = std::to_array<Spelling>({
    {U'±', "+/-"}, {U'×', "x"},   {U'…', "..."}, {U'–', "-"},  {U'—', "-"},  {U'−', "-"}, {U'°', "deg"},
    {U'µ', "u"},   {U'Ω', "Ohm"}, {U'≤', "<="},  {U'≥', ">="}, {U'→', "->"}, {U'·', "."}, {U'’', "'"},
    {U'─', "-"},   {U'━', "="},   {U'│', "|"},   {U'┃', "|"},  {U'┌', "+"},  {U'┐', "+"}, {U'└', "+"},
    {U'┘', "+"},   {U'┬', "+"},   {U'┴', "+"},   {U'┏', "+"},  {U'┓', "+"},  {U'┗', "+"}, {U'┛', "+"},
    {U'●', "O"},   {U'○', "o"},   {U'█', "#"},   {U'░', ":"},  {U'▲', "^"},
});

std::string_view colour_of(Tone tone) {
  switch (tone) {
    case Tone::kGood: return "\x1b[32m";
    case Tone::kNote: return "\x1b[36m";
    case Tone::kWarning: return "\x1b[33m";
    case Tone::kFault: return "\x1b[1;31m";
    case Tone::kDanger: return "\x1b[1;97;41m";
    case Tone::kPlain: break;
  }
  return {};
}

constexpr std::string_view kPlainAgain = "\x1b[0m";

}  // namespace

std::string Ink::plain(std::string_view text) const {
  std::string clean = cleaned(text);
  if (!style_.ascii) return clean;
  std::string out;
  for (std::string_view rest = clean; !rest.empty();) {
    const Character character = first_character(rest);
    if (character.code < 0x80) {
      out += rest.front();
    } else {
      std::string_view spelled = "?";
      for (const auto& [code, plain] : kSpellings) {
        if (code == character.code) spelled = plain;
      }
      out += spelled;
    }
    rest.remove_prefix(character.octets);
  }
  return out;
}

std::string Ink::toned(std::string_view text, Tone tone) const {
  const std::string_view colour = style_.colour && !text.empty() ? colour_of(tone) : std::string_view{};
  if (colour.empty()) return std::string{text};
  return std::string{colour}.append(text).append(kPlainAgain);
}

std::string Ink::strong(std::string_view text) const {
  if (!style_.colour || text.empty()) return std::string{text};
  return std::string{"\x1b[1m"}.append(text).append(kPlainAgain);
}

std::string_view word_of(Tone tone) {
  switch (tone) {
    case Tone::kNote: return "note";
    case Tone::kWarning: return "warning";
    case Tone::kFault: return "FAULT";
    case Tone::kDanger: return "DANGER";
    case Tone::kGood: return "ok";
    case Tone::kPlain: break;
  }
  return {};
}

}  // namespace host::report
