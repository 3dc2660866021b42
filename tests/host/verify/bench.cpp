#include "tests/host/verify/bench.hpp"

#include <algorithm>
#include <stdexcept>
#include <string>

#include "host/expect/straps.hpp"
#include "protocol/points/words.hpp"

namespace {

using namespace host;
using model::FindingId;
using model::FunctionId;
using model::Millivolts;
using model::Severity;
using protocol::points::Point;
using protocol::points::Reading;

constexpr std::uint16_t kOpen = 0;
constexpr std::uint16_t kPins12 = 1;
constexpr std::uint16_t kPins23 = 2;
constexpr std::size_t kBr1 = 0, kBr4 = 1, kBr3 = 2, kS2 = 3, kBr5 = 4, kBr7 = 5, kBr9 = 6;

model::Strap jumper(std::string id, std::uint16_t pins, model::Evidence evidence, std::uint16_t index) {
  model::Strap strap;
  strap.id = std::move(id);
  strap.kind = model::StrapKind::kJumper;
  strap.count = pins;
  strap.nets.assign(pins, "NET");
  strap.evidence = evidence;
  strap.index = index;
  strap.look = "white cap beside X4";
  return strap;
}

model::Pattern exactly(std::uint16_t bits) {
  return {0xFFFF, bits};
}

model::FunctionRow row(model::FunctionValue value, std::vector<model::FunctionRow::Setting> settings) {
  return {value, std::move(settings), {}};
}

model::Rail rail(model::RailId id, std::vector<Millivolts> choices) {
  model::Rail made;
  made.id = id;
  made.places = {"out"};
  made.choices = std::move(choices);
  made.tolerance = {30'000};
  made.uncertainty = {10'000};
  return made;
}

model::Board board() {
  using model::Evidence;
  model::Board made;
  made.about.id = "willow";
  made.rails = {rail(model::RailId::kPanel, {{3300}, {5000}}), rail(model::RailId::kLight, {{5000}, {12000}}),
                rail(model::RailId::kKeypad, {{5000}})};
  made.inputs = {{"hdmi-1", "hdmi", {165'000'000}, "X5"}};
  model::Strap bank = jumper("S2", 2, Evidence::kSensed, 3);
  bank.kind = model::StrapKind::kSwitches;
  bank.nets.clear();
  made.straps = {jumper("BR1", 3, Evidence::kSensed, 0), jumper("BR4", 3, Evidence::kAtReset, 1),
                 jumper("BR3", 2, Evidence::kSensed, 2), bank,
                 jumper("BR5", 2, Evidence::kUnread, 0), jumper("BR7", 2, Evidence::kUnread, 0),
                 jumper("BR9", 2, Evidence::kSensed, 4)};
  const model::RasterRow small{{800}, {480}, 1, 24};
  const model::RasterRow large{{1024}, {768}, 1, 24};
  made.functions = {{FunctionId::kPanelSupply,
                     {row(Millivolts{3300}, {{kBr1, {exactly(kPins12)}}}),
                      row(Millivolts{5000}, {{kBr1, {exactly(kPins23)}}})},
                     {}},
                    {FunctionId::kLightSupply,
                     {row(Millivolts{5000}, {{kBr4, {exactly(kPins12)}}}),
                      row(Millivolts{12000}, {{kBr4, {exactly(kPins23)}}})},
                     {}},
                    {FunctionId::kBitMapping,
                     {row(model::Mapping::kVesa24, {{kBr3, {exactly(kOpen)}}, {kS2, {{1, 0}}}}),
                      row(model::Mapping::kJeida24, {{kBr3, {exactly(kOpen)}}, {kS2, {{1, 1}}}}),
                      row(model::Mapping::kJeida24, {{kBr3, {exactly(kPins12)}}, {kS2, {exactly(3)}}})},
                     {}},
                    {FunctionId::kKeypadPower,
                     {row(model::Toggle::kOn, {{kBr5, {exactly(kPins12)}}}),
                      row(model::Toggle::kOff, {{kBr5, {exactly(kOpen)}}})},
                     {}},
                    {FunctionId::kScanDirection,
                     {row(model::ScanDirection::kNormal, {{kBr7, {exactly(kOpen)}}}),
                      row(model::ScanDirection::kReversed, {{kBr7, {exactly(kPins12)}}})},
                     {}},
                    {FunctionId::kRasterRow,
                     {row(small, {{kBr9, {exactly(kOpen)}}}), row(large, {{kBr9, {exactly(kPins12)}}})},
                     {}}};
  return made;
}

expect::Limit above(std::int64_t max, FindingId id, Severity severity) {
  return {{std::nullopt, std::nullopt, max}, severity, id, id};
}

expect::Limit below(std::int64_t min, FindingId id) {
  return {{min, std::nullopt, std::nullopt}, Severity::kFault, id, id};
}

expect::ExpectedPoint window(Point point, std::int64_t min, std::int64_t max, FindingId low, FindingId high,
                             Severity high_severity) {
  expect::ExpectedPoint expected;
  expected.point = point;
  expected.bounds = {min, std::nullopt, max};
  expected.limits = {above(max, high, high_severity), below(min, low)};
  expected.uncertainty = {{10'000}, 0};
  expected.can_destroy = high_severity == Severity::kDanger;
  return expected;
}

expect::ExpectedPoint exact(Point point, std::int64_t value, FindingId id, bool needs_awake) {
  expect::ExpectedPoint expected;
  expected.point = point;
  expected.bounds = {value, value, value};
  expected.limits = {{{value, std::nullopt, value}, Severity::kFault, id, id}};
  expected.needs_awake = needs_awake;
  return expected;
}

std::vector<expect::ExpectedPoint> expected_points() {
  auto selected = window(Point::kRailsPanelSelectedMv, 3000, 3600, FindingId::kPanelRailLow,
                         FindingId::kPanelRailHigh, Severity::kDanger);
  selected.limits.push_back({{3201, std::nullopt, 3399},
                             Severity::kWarning,
                             FindingId::kPanelRailOffNominal,
                             FindingId::kPanelRailOffNominal});
  auto out = selected;
  out.point = Point::kRailsPanelOutMv;
  out.needs_awake = true;
  auto highest = exact(Point::kRailsPanelOutMvMax, 0, FindingId::kPanelRailOver, false);
  highest.bounds = {std::nullopt, std::nullopt, 4000};
  highest.limits = {above(4000, FindingId::kPanelRailOver, Severity::kDanger)};
  highest.uncertainty = {{10'000}, 0};
  highest.required = false;
  auto enable = exact(Point::kBacklightEnableMv, 0, FindingId::kEnableLow, true);
  enable.bounds = {2000, std::nullopt, std::nullopt};
  enable.limits = {below(2000, FindingId::kEnableLow)};
  auto name = exact(Point::kIdentityBoard, 0, FindingId::kBoardDiffers, false);
  name.bounds = {};
  name.text = "willow";
  name.limits = {{{}, Severity::kFault, FindingId::kBoardDiffers, FindingId::kBoardDiffers}};
  return {name,
          exact(Point::kPowerState, 4, FindingId::kPowerState, true),
          window(Point::kRailsSupplyInMv, 10'800, 28'000, FindingId::kSupplyLow, FindingId::kSupplyHigh,
                 Severity::kDanger),
          selected,
          out,
          highest,
          window(Point::kRailsLightOutMv, 10'800, 13'200, FindingId::kLightRailLow, FindingId::kLightRailHigh,
                 Severity::kDanger),
          window(Point::kRailsKeypadOutMv, 4500, 5500, FindingId::kKeypadRailOff, FindingId::kKeypadRailOff,
                 Severity::kFault),
          enable,
          exact(Point::kInputLocked, 1, FindingId::kNoLock, true),
          exact(Point::kPanelLinkMapping, 2, FindingId::kLinkMapping, true),
          exact(Point::kSettingsBrightnessPermille, 800, FindingId::kSettingDiffers, false)};
}

expect::ExpectedFunction function(FunctionId id, model::FunctionValue accepted, FindingId finding,
                                  std::optional<Point> consequence) {
  expect::ExpectedFunction expected;
  expected.id = id;
  expected.accepted = {accepted};
  expected.finding = finding;
  expected.consequence = consequence;
  expected.can_destroy = id == FunctionId::kPanelSupply || id == FunctionId::kLightSupply;
  return expected;
}

}  // namespace

Bench::Bench() {
  kit.about.id = "workshop-sign";
  kit.about.title = "Workshop sign";
  kit.about.revision = "1";
  kit.digest = std::string(64, 'a');
  kit.board = board();
  kit.panel.about.id = "marl";
  kit.panel.supply.voltage = {Millivolts{3000}, Millivolts{3300}, Millivolts{3600}};
  kit.panel.supply.absolute_max = {4000};
  kit.panel.backlight.supply = {Millivolts{10'800}, Millivolts{12'000}, Millivolts{13'200}};
  kit.panel.backlight.absolute_max = {15'000};
  kit.panel.link.mapping = model::Mapping::kJeida24;
  kit.supply.voltage = {Millivolts{23'000}, Millivolts{24'000}, Millivolts{25'000}};
  kit.keypad = model::Keypad{};
  kit.video.input = "hdmi-1";
  kit.accept.attested = {"BR5", "BR7"};

  expectation.functions = {
      function(FunctionId::kPanelSupply, Millivolts{3300}, FindingId::kPanelSupplyStrap,
               Point::kRailsPanelSelectedMv),
      function(FunctionId::kLightSupply, Millivolts{12'000}, FindingId::kLightSupplyStrap,
               Point::kRailsLightOutMv),
      function(FunctionId::kBitMapping, model::Mapping::kJeida24, FindingId::kBitMappingStrap, std::nullopt),
      function(FunctionId::kKeypadPower, model::Toggle::kOn, FindingId::kKeypadPowerStrap,
               Point::kRailsKeypadOutMv),
      function(FunctionId::kScanDirection, model::ScanDirection::kNormal, FindingId::kScanDirectionStrap,
               std::nullopt),
      function(FunctionId::kRasterRow, model::RasterRow{{800}, {480}, 1, 24}, FindingId::kRasterRowStrap,
               std::nullopt)};
  expectation.functions.back().used = false;
  expectation.straps = expect::solve(kit.board, expectation.functions);
  expectation.points = expected_points();

  snapshot.consistency = verify::Consistency::kLatched;
  snapshot.generation = 7;
  snapshot.unit = {1, "SN-0042", "willow", "1.0", "willow"};
  read_text(Point::kIdentitySerial, "SN-0042");
  read_text(Point::kIdentityBoard, "willow");
  read(Point::kPowerState, 4);
  read(Point::kRailsSupplyInMv, 24'050);
  read(Point::kRailsPanelSelectedMv, 3310);
  read(Point::kRailsPanelOutMv, 3305);
  read(Point::kRailsPanelOutMvMax, 3320);
  read(Point::kRailsLightOutMv, 11'980);
  read(Point::kRailsKeypadOutMv, 5010);
  read(Point::kBacklightEnableMv, 3290);
  read(Point::kInputLocked, 1);
  read(Point::kPanelLinkMapping, 2);
  read(Point::kSettingsBrightnessPermille, 800);
  sense("BR1", kPins12);
  sense("BR4", kPins23);
  sense("BR3", kOpen);
  sense("S2", 1);
  sense("BR9", kOpen);
  attest("BR7", kOpen);
}

void Bench::read(Point point, std::int64_t number) {
  Reading reading;
  reading.kind = Reading::Kind::kNumber;
  reading.number = number;
  snapshot.points[point] = reading;
}

void Bench::read_text(Point point, std::string_view text) {
  Reading reading;
  reading.kind = Reading::Kind::kText;
  reading.text_size = static_cast<std::uint8_t>(std::min(text.size(), reading.text_octets.size()));
  std::copy_n(text.begin(), reading.text_size, reading.text_octets.begin());
  snapshot.points[point] = reading;
}

void Bench::unread(Point point, protocol::points::Unread why) {
  Reading reading;
  reading.unread = why;
  snapshot.points[point] = reading;
}

void Bench::sense(std::string_view strap, std::uint16_t word) {
  read(protocol::points::strap_point(kit.board.strap(strap)->index), word);
}

void Bench::attest(std::string_view strap, std::uint16_t bits) {
  demands.attestations.push_back({std::string{strap}, {bits}, "A. Tester"});
}

expect::ExpectedPoint& Bench::expected(Point point) {
  for (auto& one : expectation.points) {
    if (one.point == point) return one;
  }
  throw std::logic_error("no such point on the bench");
}

expect::ExpectedFunction& Bench::expected(FunctionId id) {
  for (auto& one : expectation.functions) {
    if (one.id == id) return one;
  }
  throw std::logic_error("no such function on the bench");
}

verify::Judgement Bench::judge() const {
  return verify::judge(kit, expectation, snapshot, demands);
}

const verify::Item& item_of(const verify::Judgement& judgement, std::string_view subject) {
  for (const auto& item : judgement.items) {
    if (item.subject == subject) return item;
  }
  throw std::logic_error("no item " + std::string{subject});
}

const model::Finding* finding_of(const verify::Judgement& judgement, std::string_view subject) {
  for (const auto& finding : judgement.findings) {
    if (finding.subject == subject) return &finding;
  }
  return nullptr;
}
