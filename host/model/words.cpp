#include "host/model/words.hpp"

#include <array>

namespace host::model {
namespace {

constexpr auto kStatus = std::to_array<Word<Status>>(
    {{"draft", Status::kDraft}, {"released", Status::kReleased}, {"withdrawn", Status::kWithdrawn}});
constexpr auto kMapping = std::to_array<Word<Mapping>>({{"rgb-18", Mapping::kRgb18},
                                                        {"vesa-24", Mapping::kVesa24},
                                                        {"jeida-24", Mapping::kJeida24},
                                                        {"vesa-30", Mapping::kVesa30},
                                                        {"jeida-30", Mapping::kJeida30}});
constexpr auto kDimmingSense = std::to_array<Word<DimmingSense>>(
    {{"high-is-brighter", DimmingSense::kHighIsBrighter}, {"low-is-brighter", DimmingSense::kLowIsBrighter}});
constexpr auto kDimmingKind =
    std::to_array<Word<DimmingKind>>({{"pwm", DimmingKind::kPwm}, {"analogue", DimmingKind::kAnalogue}});
constexpr auto kLinkKind =
    std::to_array<Word<LinkKind>>({{"lvds", LinkKind::kLvds}, {"edp", LinkKind::kEdp}});
constexpr auto kLightKind =
    std::to_array<Word<LightKind>>({{"led", LightKind::kLed}, {"ccfl", LightKind::kCcfl}});
constexpr auto kWireProfile =
    std::to_array<Word<WireProfile>>({{"strapline", WireProfile::kStrapline}, {"own", WireProfile::kOwn}});
constexpr auto kRegisterTable = std::to_array<Word<RegisterTable>>({{"inputs", RegisterTable::kInputs},
                                                                    {"holding", RegisterTable::kHolding},
                                                                    {"discretes", RegisterTable::kDiscretes},
                                                                    {"coils", RegisterTable::kCoils}});
constexpr auto kRegisterType = std::to_array<Word<RegisterType>>({{"u16", RegisterType::kU16},
                                                                  {"s16", RegisterType::kS16},
                                                                  {"u32", RegisterType::kU32},
                                                                  {"s32", RegisterType::kS32},
                                                                  {"bit", RegisterType::kBit},
                                                                  {"text", RegisterType::kText}});
constexpr auto kShape = std::to_array<Word<Shape>>(
    {{"rectangle", Shape::kRectangle}, {"circle", Shape::kCircle}, {"mask", Shape::kMask}});
constexpr auto kUnlit = std::to_array<Word<Unlit>>({{"black", Unlit::kBlack}, {"white", Unlit::kWhite}});
constexpr auto kOpenEnable = std::to_array<Word<OpenEnable>>(
    {{"off", OpenEnable::kOff}, {"on", OpenEnable::kOn}, {"undefined", OpenEnable::kUndefined}});
constexpr auto kSync = std::to_array<Word<Sync>>({{"de-only", Sync::kDeOnly}, {"syncs", Sync::kSyncs}});
constexpr auto kRailId = std::to_array<Word<RailId>>({{"logic", RailId::kLogic},
                                                      {"panel", RailId::kPanel},
                                                      {"light", RailId::kLight},
                                                      {"keypad", RailId::kKeypad}});
constexpr auto kRailOrigin = std::to_array<Word<RailOrigin>>(
    {{"regulated", RailOrigin::kRegulated}, {"passed-through", RailOrigin::kPassedThrough}});
constexpr auto kFunctionId =
    std::to_array<Word<FunctionId>>({{"panel-supply", FunctionId::kPanelSupply},
                                     {"light-supply", FunctionId::kLightSupply},
                                     {"light-enable", FunctionId::kLightEnable},
                                     {"dimming-sense", FunctionId::kDimmingSense},
                                     {"bit-mapping", FunctionId::kBitMapping},
                                     {"raster-row", FunctionId::kRasterRow},
                                     {"keypad-power", FunctionId::kKeypadPower},
                                     {"scan-direction", FunctionId::kScanDirection}});
constexpr auto kToggle = std::to_array<Word<Toggle>>({{"off", Toggle::kOff}, {"on", Toggle::kOn}});
constexpr auto kScanDirection = std::to_array<Word<ScanDirection>>(
    {{"normal", ScanDirection::kNormal}, {"reversed", ScanDirection::kReversed}});
constexpr auto kStrapKind =
    std::to_array<Word<StrapKind>>({{"jumper", StrapKind::kJumper}, {"switches", StrapKind::kSwitches}});
constexpr auto kPowerOn = std::to_array<Word<PowerOn>>(
    {{"off", PowerOn::kOff}, {"always", PowerOn::kAlways}, {"last", PowerOn::kLast}});
constexpr auto kPolarity =
    std::to_array<Word<Polarity>>({{"negative", Polarity::kNegative}, {"positive", Polarity::kPositive}});

constexpr auto kStrapEvidence = std::to_array<Word<Evidence>>({{"sensed", Evidence::kSensed},
                                                               {"at-reset", Evidence::kAtReset},
                                                               {"declared", Evidence::kDeclared},
                                                               {"not-sensed", Evidence::kUnread}});
constexpr auto kPointEvidence = std::to_array<Word<Evidence>>({{"measured", Evidence::kMeasured},
                                                               {"sensed", Evidence::kSensed},
                                                               {"at-reset", Evidence::kAtReset},
                                                               {"declared", Evidence::kDeclared}});

}  // namespace

template <>
std::span<const Word<Status>> words_for() {
  return kStatus;
}
template <>
std::span<const Word<Mapping>> words_for() {
  return kMapping;
}
template <>
std::span<const Word<DimmingSense>> words_for() {
  return kDimmingSense;
}
template <>
std::span<const Word<DimmingKind>> words_for() {
  return kDimmingKind;
}
template <>
std::span<const Word<LinkKind>> words_for() {
  return kLinkKind;
}
template <>
std::span<const Word<LightKind>> words_for() {
  return kLightKind;
}
template <>
std::span<const Word<WireProfile>> words_for() {
  return kWireProfile;
}
template <>
std::span<const Word<RegisterTable>> words_for() {
  return kRegisterTable;
}
template <>
std::span<const Word<RegisterType>> words_for() {
  return kRegisterType;
}
template <>
std::span<const Word<Shape>> words_for() {
  return kShape;
}
template <>
std::span<const Word<Unlit>> words_for() {
  return kUnlit;
}
template <>
std::span<const Word<OpenEnable>> words_for() {
  return kOpenEnable;
}
template <>
std::span<const Word<Sync>> words_for() {
  return kSync;
}
template <>
std::span<const Word<RailId>> words_for() {
  return kRailId;
}
template <>
std::span<const Word<RailOrigin>> words_for() {
  return kRailOrigin;
}
template <>
std::span<const Word<FunctionId>> words_for() {
  return kFunctionId;
}
template <>
std::span<const Word<Toggle>> words_for() {
  return kToggle;
}
template <>
std::span<const Word<ScanDirection>> words_for() {
  return kScanDirection;
}
template <>
std::span<const Word<StrapKind>> words_for() {
  return kStrapKind;
}
template <>
std::span<const Word<PowerOn>> words_for() {
  return kPowerOn;
}
template <>
std::span<const Word<Polarity>> words_for() {
  return kPolarity;
}

std::span<const Word<Evidence>> strap_evidence_words() {
  return kStrapEvidence;
}

std::span<const Word<Evidence>> point_evidence_words() {
  return kPointEvidence;
}

std::string_view to_text(Status status) {
  return word_for(status);
}

std::string_view to_text(Mapping mapping) {
  return word_for(mapping);
}

std::string_view to_text(DimmingSense sense) {
  return word_for(sense);
}

std::string_view to_text(FunctionId id) {
  return word_for(id);
}

}  // namespace host::model
