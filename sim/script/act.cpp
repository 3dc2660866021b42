#include "sim/script/act.hpp"

#include <array>
#include <vector>

#include "host/model/nearest.hpp"

namespace sim::script {
namespace {

constexpr auto kWords = std::to_array<VerbWords>({
    {"power", "off|on|VOLTS", "switch the supply, or set it to a voltage"},
    {"plug", "TIMING", "plug a source in that sends this, as dmt 52h, or change what it sends"},
    {"unplug", "", "pull the source's cable"},
    {"key", "NAME", "press a key of the keypad and let it go"},
    {"fault", "NAME[=ARG]", "make something wrong"},
    {"mend", "NAME", "make it right again; what is destroyed stays so"},
    {"setting", "KEY=VALUE", "change a setting, as its menu would"},
    {"ambient", "TEMPERATURE", "set the temperature of the room"},
    {"strap", "STRAP=POSITION", "move a cap or a switch"},
    {"reset", "", "reset the board's processor"},
});

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t' || text.back() == '\r')) {
    text.remove_suffix(1);
  }
  return text;
}

}  // namespace

std::span<const VerbWords> verb_words() {
  return kWords;
}

const VerbWords& words_of(Verb verb) {
  return kWords[static_cast<std::size_t>(verb)];
}

std::optional<Verb> find_verb(std::string_view name) {
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (kWords[i].name == name) return static_cast<Verb>(i);
  }
  return std::nullopt;
}

tl::expected<Act, std::string> parse_act(std::string_view text) {
  text = trimmed(text);
  const std::string_view name = text.substr(0, text.find_first_of(" \t"));
  const std::string_view argument = trimmed(text.substr(name.size()));
  const auto verb = find_verb(name);
  if (!verb) {
    std::vector<std::string_view> names;
    for (const VerbWords& words : kWords) names.push_back(words.name);
    return tl::unexpected("there is no command \"" + std::string{name.substr(0, 40)} + "\"; " +
                          host::model::nearest_hint(name, names, "commands"));
  }
  const VerbWords& words = words_of(*verb);
  if (words.argument.empty() != argument.empty()) {
    return tl::unexpected(words.argument.empty()
                              ? std::string{name} + " takes nothing behind it"
                              : std::string{name} + " takes " + std::string{words.argument});
  }
  return Act{*verb, std::string{argument}};
}

std::string to_text(const Act& act) {
  const std::string name{words_of(act.verb).name};
  return act.argument.empty() ? name : name + " " + act.argument;
}

}  // namespace sim::script
