#include "tests/host/expect/kit.hpp"

#include <algorithm>

#include <doctest/doctest.h>

using namespace host;
using model::FunctionId;
using model::Millivolts;

namespace tests {
namespace {

model::About about(std::string id, std::string title) {
  model::About result;
  result.id = std::move(id);
  result.title = std::move(title);
  result.revision = "2";
  result.status = model::Status::kReleased;
  return result;
}

model::Strap jumper(std::string id, std::uint16_t pins, std::uint16_t index) {
  model::Strap strap;
  strap.id = std::move(id);
  strap.count = pins;
  for (int pin = 1; pin <= pins; ++pin) strap.nets.push_back("N" + std::to_string(pin));
  strap.index = index;
  return strap;
}

model::FunctionRow row(const model::Board& board, model::FunctionValue value, const std::string& strap,
                       const std::string& pattern) {
  model::FunctionRow result;
  result.value = value;
  for (std::size_t i = 0; i < board.straps.size(); ++i) {
    if (board.straps[i].id == strap)
      result.settings.push_back({i, {*parse_pattern(board.straps[i], pattern)}});
  }
  return result;
}

// Nets by pin from 1, separated by blanks; "." for a pin that isn't connected.
std::map<int, std::string> nets(std::string_view text) {
  std::map<int, std::string> result;
  for (int pin = 1; !text.empty(); ++pin) {
    const std::size_t end = std::min(text.find(' '), text.size());
    if (text.substr(0, end) != ".") result[pin] = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return result;
}

model::Connector connector(std::string id, std::string family, int pins, std::string_view text) {
  model::Connector result;
  result.id = std::move(id);
  result.family = std::move(family);
  result.pins = pins;
  result.nets = nets(text);
  return result;
}

model::Rail rail(model::RailId id, std::vector<Millivolts> choices, model::Milliamps current_max) {
  model::Rail result;
  result.id = id;
  result.choices = std::move(choices);
  result.tolerance = {30'000};
  result.current_max = current_max;
  result.uncertainty = {10'000};
  return result;
}

void add_functions(model::Board& board) {
  const auto add = [&](FunctionId id, std::vector<model::FunctionRow> rows) {
    board.functions.push_back({id, std::move(rows), {}});
  };
  add(FunctionId::kPanelSupply,
      {row(board, Millivolts{3300}, "BR1", "1-2"), row(board, Millivolts{5000}, "BR1", "2-3"),
       row(board, Millivolts{12000}, "BR1", "3-4")});
  add(FunctionId::kLightEnable,
      {row(board, Millivolts{3300}, "BR2", "1-2"), row(board, Millivolts{5000}, "BR2", "2-3")});
  add(FunctionId::kDimmingSense, {row(board, model::DimmingSense::kHighIsBrighter, "BR3", "open"),
                                  row(board, model::DimmingSense::kLowIsBrighter, "BR3", "1-2")});
  add(FunctionId::kBitMapping,
      {row(board, model::Mapping::kVesa24, "BR4", "1-2"), row(board, model::Mapping::kJeida24, "BR4", "2-3"),
       row(board, model::Mapping::kRgb18, "BR4", "open")});
  add(FunctionId::kKeypadPower,
      {row(board, model::Toggle::kOn, "BR5", "1-2"), row(board, model::Toggle::kOff, "BR5", "open")});
  add(FunctionId::kRasterRow, {row(board, model::RasterRow{{1024}, {768}, 1, 18}, "S1", "00xx"),
                               row(board, model::RasterRow{{1280}, {800}, 1, 24}, "S1", "010x"),
                               row(board, model::RasterRow{{1280}, {800}, 1, 24}, "S1", "1100"),
                               row(board, model::RasterRow{{1920}, {1080}, 2, 24}, "S1", "1001")});
}

model::Board larch() {
  model::Board board;
  board.about = about("larch", "Larch");
  board.own_power = {3000};
  board.efficiency = {800'000};
  board.input_supply.voltage = {{{9000}}, {}, {{28'000}}};
  board.input_supply.uncertainty = {10'000};
  board.rails = {rail(model::RailId::kLogic, {{3300}}, {1000}),
                 rail(model::RailId::kPanel, {{3300}, {5000}, {12'000}}, {2000}),
                 rail(model::RailId::kLight, {{12'000}}, {1500}),
                 rail(model::RailId::kKeypad, {{5000}}, {100})};
  board.link.channels_max = 2;
  board.link.channel_clock_max = {85'000'000};
  board.link.connector = "X2";
  board.light.enable_tolerance = {50'000};
  board.light.pwm = {200};
  board.light.pwm_range = {{{100}}, {}, {{1000}}};
  board.light.duty_at = {{{0}, {100'000}}, {{500'000}, {400'000}}, {{1'000'000}, {1'000'000}}};
  board.light.frequency_uncertainty = {10'000};
  board.light.duty_uncertainty = {5'000};
  board.light.enable_uncertainty = {50};
  board.light.connector = "X3";
  board.inputs = {{"vga-1", "vga", {100'000'000}, "X6"}, {"hdmi-1", "hdmi", {150'000'000}, "X5"}};
  board.connectors = {
      connector("X2", "panel-out-20", 20,
                "VPANEL VPANEL GND GND A0- A0+ GND A1- A1+ GND A2- A2+ GND ACLK- ACLK+ GND A3- A3+ GND GND"),
      connector("X3", "light-out-6", 6, "VLIGHT VLIGHT GND GND LIGHT_EN PWM"),
      connector("X4", "keypad-out-5", 5, "VKEYPAD KEYS LED_A LED_B GND")};
  board.straps = {jumper("BR1", 4, 0), jumper("BR2", 3, 1), jumper("BR3", 2, 2), jumper("BR4", 3, 3),
                  jumper("BR5", 2, 0)};
  board.straps.back().evidence = model::Evidence::kUnread;
  model::Strap bank;
  bank.id = "S1";
  bank.kind = model::StrapKind::kSwitches;
  bank.count = 4;
  bank.index = 4;
  bank.evidence = model::Evidence::kAtReset;
  board.straps.push_back(bank);
  add_functions(board);
  return board;
}

model::Panel marl() {
  model::Panel panel;
  panel.about = about("marl", "Marl");
  panel.glass = {{217'000}, {136'000}, {1280}, {800}};
  panel.signal.raster_columns = {1280};
  panel.signal.raster_lines = {800};
  panel.signal.pixel_clock = {{{68'000'000}}, {{71'000'000}}, {{85'000'000}}};
  panel.signal.h_total = {{{1410}}, {{1440}}, {{1700}}};
  panel.signal.v_total = {{{815}}, {{823}}, {{840}}};
  panel.signal.refresh = {{{55'000}}, {{60'000}}, {{65'000}}};
  panel.link.mapping = model::Mapping::kJeida24;
  panel.link.connector = "panel-30";
  panel.supply.voltage = {{{4500}}, {{5000}}, {{5500}}};
  panel.supply.absolute_max = {6000};
  panel.supply.idle = {120};
  panel.supply.worst = {450};
  panel.supply.inrush = {1500};
  panel.backlight.supply = {{{10'800}}, {{12'000}}, {{13'200}}};
  panel.backlight.absolute_max = {15'000};
  panel.backlight.power = {9600};
  panel.backlight.enable = {{3500}, {800}, {{5500}}, model::OpenEnable::kOff};
  panel.backlight.dimming.sense = model::DimmingSense::kLowIsBrighter;
  panel.backlight.dimming.frequency = {{{140}}, {}, {{1000}}};
  panel.backlight.dimming.duty = {{{0}}, {}, {{950'000}}};
  panel.backlight.connector = "light-6";
  panel.sequence.signal_to_light.min = {200'000};
  panel.connectors = {
      connector(
          "X1", "panel-30", 30,
          ". VPANEL VPANEL GND GND . . A0- A0+ GND A1- A1+ GND A2- A2+ GND ACLK- ACLK+ GND A3- A3+ GND"),
      connector("X2", "light-6", 6, "VLIGHT VLIGHT GND GND LIGHT_EN PWM")};
  return panel;
}

// Wires from pin to pin, both counting up without a gap.
struct Run {
  int board, far, count;
};

model::Cable cable(std::string id, std::string board_family, std::string far_family,
                   const std::vector<Run>& runs) {
  model::Cable result;
  result.about = about(std::move(id), "Cable");
  result.board_family = std::move(board_family);
  result.far_family = std::move(far_family);
  result.length = {300'000};
  for (const Run& run : runs) {
    for (int i = 0; i < run.count; ++i) result.wires.push_back({run.board + i, run.far + i, "AWG 26", "T"});
  }
  return result;
}

}  // namespace

model::Kit sound_kit() {
  model::Kit kit;
  kit.about = about("bench-display", "Bench display");
  kit.about.path = "kits/bench-display.toml";
  kit.panel = marl();
  kit.board = larch();
  kit.supply.about = about("bench-24v-40w", "Supply");
  kit.supply.voltage = {{{22'800}}, {{24'000}}, {{25'200}}};
  kit.supply.power = {40'000};
  kit.keypad.emplace();
  kit.keypad->about = about("five-key", "Keypad");
  kit.keypad->voltage = {{{4500}}, {{5000}}, {{5500}}};
  kit.keypad->connector = "keypad-5";
  kit.keypad->nets = kit.board.connectors[2].nets;
  kit.cables["W1"] = cable("w-panel", "panel-out-20", "panel-30", {{1, 2, 4}, {5, 8, 15}});
  kit.cables["W2"] = cable("w-light", "light-out-6", "light-6", {{1, 1, 6}});
  kit.cables["W3"] = cable("w-keypad", "keypad-out-5", "keypad-5", {{1, 1, 5}});
  kit.video.input = "hdmi-1";
  kit.video.timing = std::string("cvt-rb 1280 x 800 @ 60 Hz");
  kit.settings.brightness = {{700'000}};
  kit.settings.power_on = model::PowerOn::kAlways;
  kit.digest = std::string(60, 'a') + "0123";
  return kit;
}

expect::Expectation expectation_of(const model::Kit& kit) {
  auto expectation = expect::derive(kit);
  REQUIRE(expectation);
  return *std::move(expectation);
}

expect::JointPosition position_of(const model::Board& board,
                                  const std::vector<std::pair<std::string, std::string>>& positions) {
  expect::JointPosition joint(board.straps.size());
  for (const auto& [id, text] : positions) {
    const model::Strap* strap = board.strap(id);
    REQUIRE(strap != nullptr);
    const auto position = parse_position(*strap, text);
    REQUIRE(position);
    joint[static_cast<std::size_t>(strap - board.straps.data())] = *position;
  }
  return joint;
}

const expect::ExpectedPoint* find(const expect::Expectation& expectation, protocol::points::Point point) {
  const auto found = std::ranges::find(expectation.points, point, &expect::ExpectedPoint::point);
  return found == expectation.points.end() ? nullptr : &*found;
}

std::string accepted(const model::Board& board, const std::vector<expect::ExpectedStrap>& straps,
                     std::string_view id) {
  std::string text;
  for (const expect::ExpectedStrap& expected : straps) {
    const model::Strap& strap = board.straps[expected.strap];
    if (strap.id != id) continue;
    for (const model::Position position : expected.accepted) {
      text += (text.empty() ? "" : " ") + to_text(strap, position);
    }
  }
  return text;
}

const model::Finding* find(const std::vector<model::Finding>& findings, model::FindingId id) {
  const auto found = std::ranges::find(findings, id, &model::Finding::id);
  return found == findings.end() ? nullptr : &*found;
}

}  // namespace tests
