#include "sim/fault/fault.hpp"

#include <vector>

#include "host/model/nearest.hpp"
#include "sim/fault/argument.hpp"

namespace sim::fault {
namespace {

constexpr std::size_t kShownMax = 64;

std::string_view trimmed(std::string_view text) {
  while (text.starts_with(' ')) text.remove_prefix(1);
  while (text.ends_with(' ')) text.remove_suffix(1);
  return text;
}

}  // namespace

tl::expected<Fault, std::string> parse_fault(std::string_view text) {
  const std::size_t equals = text.find('=');
  const std::string_view wanted = trimmed(text.substr(0, equals));
  const auto kind = find(wanted);
  if (!kind) {
    std::vector<std::string_view> names;
    for (const Words& each : all_words()) names.push_back(each.name);
    const auto near = host::model::nearest(wanted, names);
    return tl::unexpected("there is no fault \"" + std::string{wanted.substr(0, kShownMax)} + "\"" +
                          (near ? "; did you mean '" + *near + "'?" : "; --help lists them"));
  }
  const Words& told = words(*kind);
  const std::string named{told.name};
  if (told.form == Form::kNone) {
    if (equals != std::string_view::npos) return tl::unexpected(named + " takes nothing behind it");
    return Fault{*kind, {}};
  }
  if (equals == std::string_view::npos) {
    return tl::unexpected(named + " takes an argument: " + named + "=" + std::string{told.argument});
  }
  auto argument = parse_argument(told.form, trimmed(text.substr(equals + 1)));
  if (!argument) return tl::unexpected(named + " " + argument.error());
  return Fault{*kind, std::move(*argument)};
}

std::string to_text(const Fault& fault) {
  const std::string argument = to_text(fault.argument);
  const std::string named{name(fault.kind)};
  return argument.empty() ? named : named + "=" + argument;
}

}  // namespace sim::fault
