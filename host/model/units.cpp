#include <array>

#include "host/model/quantity_text.hpp"

namespace host::model {
namespace {

using Symbol = UnitWords::Symbol;

constexpr std::array kVolts = {Symbol{"V", 1000, 100}, Symbol{"mV", 1, 1}};
constexpr std::array kAmps = {Symbol{"A", 1000, 100}, Symbol{"mA", 1, 1}};
constexpr std::array kWatts = {Symbol{"kW", 1'000'000, 0}, Symbol{"W", 1000, 100}, Symbol{"mW", 1, 1}};
constexpr std::array kOhms = {Symbol{"kΩ", 1'000'000, 1'000'000}, Symbol{"Ω", 1000, 1000},
                              Symbol{"ohm", 1000, 0}, Symbol{"mΩ", 1, 1}};
constexpr std::array kHertz = {Symbol{"GHz", 1'000'000'000, 0}, Symbol{"MHz", 1'000'000, 1'000'000},
                               Symbol{"kHz", 1000, 10'000}, Symbol{"Hz", 1, 1}};
constexpr std::array kRefresh = {Symbol{"Hz", 1000, 100}, Symbol{"mHz", 1, 1}};
constexpr std::array kBitRates = {Symbol{"Gbit/s", 1'000'000, 1'000'000}, Symbol{"Mbit/s", 1000, 1000},
                                  Symbol{"kbit/s", 1, 1}};
constexpr std::array kSeconds = {Symbol{"s", 1'000'000, 10'000'000}, Symbol{"ms", 1000, 1000},
                                 Symbol{"us", 1, 0}, Symbol{"µs", 1, 1}};
constexpr std::array kMetres = {Symbol{"m", 1'000'000, 0}, Symbol{"mm", 1000, 100}, Symbol{"um", 1, 0},
                                Symbol{"µm", 1, 1}};
constexpr std::array kShares = {Symbol{"%", 10'000, 100}, Symbol{"permille", 1000, 0}, Symbol{"ppm", 1, 1}};
constexpr std::array kDegrees = {Symbol{"°C", 1000, 1}, Symbol{"m°C", 1, 0}};
constexpr std::array kPixels = {Symbol{"pixels", 1, 0}, Symbol{"lines", 1, 0}, Symbol{"", 1, 1}};

constexpr UnitWords kVoltage{"a voltage", "5 V", "5 V ±5 %", "mv", kVolts};
constexpr UnitWords kCurrent{"a current", "0.25 A", "0.2 .. 0.6 A", "ma", kAmps};
constexpr UnitWords kPower{"a power", "18.5 W", "<= 18.5 W", "mw", kWatts};
constexpr UnitWords kResistance{"a resistance", "0.2 Ω", "<= 0.2 Ω", "mohm", kOhms};
constexpr UnitWords kFrequency{"a frequency", "148.5 MHz", "135 / 148.5 / 160 MHz", "hz", kHertz};
constexpr UnitWords kRefreshRate{"a refresh rate", "60 Hz", "48 / 60 / 62 Hz", "millihz", kRefresh};
constexpr UnitWords kBitRate{"a bit rate", "2.7 Gbit/s", "<= 2.7 Gbit/s", "kbps", kBitRates};
constexpr UnitWords kTime{"a time", "200 ms", ">= 200 ms", "us", kSeconds};
constexpr UnitWords kLength{"a length", "300 mm", "290 .. 310 mm", "um", kMetres};
constexpr UnitWords kShare{"a share", "80 %", "5 .. 100 %", "ppm", kShares};
constexpr UnitWords kTemperature{"a temperature", "70 °C", "-20 .. 70 °C", "mdegc", kDegrees, true};
constexpr UnitWords kCount{"a number of pixels or lines", "1920", "2080 / 2200 / 2400", "pixels", kPixels};

}  // namespace

template <>
const UnitWords& unit_words<MillivoltUnit>() {
  return kVoltage;
}
template <>
const UnitWords& unit_words<MilliampUnit>() {
  return kCurrent;
}
template <>
const UnitWords& unit_words<MilliwattUnit>() {
  return kPower;
}
template <>
const UnitWords& unit_words<MilliohmUnit>() {
  return kResistance;
}
template <>
const UnitWords& unit_words<HertzUnit>() {
  return kFrequency;
}
template <>
const UnitWords& unit_words<MillihertzUnit>() {
  return kRefreshRate;
}
template <>
const UnitWords& unit_words<KilobitPerSecondUnit>() {
  return kBitRate;
}
template <>
const UnitWords& unit_words<MicrosecondUnit>() {
  return kTime;
}
template <>
const UnitWords& unit_words<MicrometreUnit>() {
  return kLength;
}
template <>
const UnitWords& unit_words<PartPerMillionUnit>() {
  return kShare;
}
template <>
const UnitWords& unit_words<MillidegreeUnit>() {
  return kTemperature;
}
template <>
const UnitWords& unit_words<PixelUnit>() {
  return kCount;
}

}  // namespace host::model
