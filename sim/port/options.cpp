#include "sim/port/options.hpp"

#include <algorithm>
#include <string_view>

#include <CLI/CLI.hpp>

namespace sim::port {
namespace {

namespace model = host::model;

constexpr int kUsage = 64;  // sysexits
constexpr std::size_t kSerialOctetsMax = 16;

constexpr const char* kFooter = R"(
Where --straps, --source and --setting say nothing, the unit is built right, as its kit wants it: straps that give
the panel what it needs, the kit's source and settings. The unit has been on for ten seconds when it first answers.

exit codes: 64 usage, 65 a file that can't be used, 66 no such kit, 73 can't make the pseudo-terminal or its link,
74 I/O error, 77 no permission; 130, 143, 129 ended by SIGINT, SIGTERM, SIGHUP

examples:
  strapline-sim stop-display --pty /tmp/unit
  strapline-sim cab-display --pty /tmp/unit --straps BR1=2-3 --source none)";

tl::unexpected<Ending> refuse(std::string text) {
  return tl::unexpected(Ending{kUsage, "strapline-sim: " + std::move(text) + "; see strapline-sim --help\n"});
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

bool printable(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return c > 0x20 && c < 0x7F; });
}

tl::unexpected<Ending> unknown_strap(const model::Board& board, const std::string& id) {
  std::string ids;
  for (const model::Strap& known : board.straps) ids.append(ids.empty() ? "" : ", ").append(known.id);
  return refuse("board " + board.about.id + " has no strap \"" + id + "\", it has " + ids);
}

// What no library checks.
tl::expected<Options, Ending> checked(Options options, const std::vector<std::string>& straps,
                                      const std::vector<std::string>& settings) {
  for (const std::string& item : at_commas(straps)) {
    auto strap = halves(item);
    if (!strap) return refuse("--straps takes STRAP=POSITION, as in BR1=1-2,S1=1001, not \"" + item + "\"");
    options.straps.push_back(*std::move(strap));
  }
  for (const std::string& item : settings) {
    auto setting = halves(item);
    if (!setting) return refuse("--setting takes KEY=VALUE, as in \"brightness=60 %\", not \"" + item + "\"");
    options.settings.push_back(*std::move(setting));
  }
  if (options.address < 1 || options.address > 247) return refuse("--address takes 1 to 247");
  if (options.serial.empty() || options.serial.size() > kSerialOctetsMax || !printable(options.serial)) {
    return refuse("--serial takes 1 to 16 printable ASCII characters without blanks");
  }
  return options;
}

}  // namespace

tl::expected<Options, Ending> parse_options(int count, const char* const* arguments) {
  Options options;
  std::vector<std::string> straps;
  std::vector<std::string> settings;
  std::string source;

  CLI::App app{
      "Simulates the controller board, panel and light of a unit, and answers on a pseudo-terminal."};
  app.name("strapline-sim");
  app.footer(kFooter);
  app.add_option("kit", options.kit, "kit of the catalogue, or path of a kit file")->required();
  app.add_option("--pty", options.pty, "link to make to the pseudo-terminal")->required();
  app.add_option("--straps", straps, "where straps stand: BR1=1-2,S1=1001")->allow_extra_args(false);
  app.add_option("--setting", settings,
                 "setting of the unit, K=V: brightness, power_on, pwm_frequency, input, selection")
      ->allow_extra_args(false);
  CLI::Option* source_given =
      app.add_option("--source", source,
                     "what the video source sends, as \"dmt 52h\" or \"cvt-rb 1280 x 800 @ 60 Hz\", or none");
  app.add_option("--address", options.address, "unit address, 1 by default");
  app.add_option("--serial", options.serial, "serial number, SIM-000001 by default");
  app.add_option(
      "--seed", options.seed,
      "which unit of the series, and its noise; 1 by default, 0 is exactly nominal and reads exactly");
  app.add_option("--noise", options.noise, "what the line does: ber=P,drop=P,double=P,delay=\"20 ms\",echo");
  app.add_option("--catalog", options.catalogues, "look for files in this folder first")
      ->allow_extra_args(false);
  app.add_flag("--quiet", options.quiet, "don't say when the unit is ready");

  try {
    app.parse(count, arguments);
  } catch (const CLI::CallForHelp&) {
    return tl::unexpected(Ending{0, app.help()});
  } catch (const CLI::ParseError& error) {
    return refuse(error.what());
  }
  if (!source_given->empty()) options.source = source;
  return checked(std::move(options), straps, settings);
}

tl::expected<unit::Positions, Ending> with_straps(
    const model::Board& board, unit::Positions positions,
    const std::vector<std::pair<std::string, std::string>>& straps) {
  for (const auto& [id, text] : straps) {
    const auto strap =
        std::find_if(board.straps.begin(), board.straps.end(),
                     [&wanted = id](const model::Strap& candidate) { return candidate.id == wanted; });
    if (strap == board.straps.end()) {
      return unknown_strap(board, id);
    }
    const auto position = model::parse_position(*strap, text);
    if (!position) return refuse(position.error());
    positions[static_cast<std::size_t>(strap - board.straps.begin())] = *position;
  }
  return positions;
}

}  // namespace sim::port
