#include "host/model/board.hpp"

#include <algorithm>
#include <array>

#include "host/model/quantity_text.hpp"
#include "host/model/words.hpp"

namespace host::model {
namespace {

namespace points = protocol::points;
using points::Point;

struct ValueText {
  std::string operator()(Millivolts value) const { return to_text(value); }
  std::string operator()(const RasterRow& row) const {
    return to_text(row.columns) + " x " + to_text(row.lines) + ", " + std::to_string(row.channels) +
           (row.channels == 1 ? " channel, " : " channels, ") + std::to_string(row.bits) + " bit";
  }
  template <typename E>
  std::string operator()(E value) const {
    return std::string(word_for(value));
  }
};

bool between(Point point, Point first, Point last) {
  return point >= first && point <= last;
}

/// The strap whose word this point carries; nullptr when the board has none.
const Strap* strap_of(const Board& board, Point point) {
  const auto carries = [&](const Strap& strap) {
    return strap.evidence != Evidence::kUnread && points::strap_point(strap.index) == point;
  };
  const auto found = std::find_if(board.straps.begin(), board.straps.end(), carries);
  return found == board.straps.end() ? nullptr : &*found;
}

bool is_strap_point(Point point) {
  return between(point, Point::kStrapsStrap0, Point::kStrapsStrap15);
}

}  // namespace

std::span<const KilobitsPerSecond> edp_lane_rates() {
  static constexpr auto kRates = std::to_array<KilobitsPerSecond>({{1'620'000},
                                                                   {2'160'000},
                                                                   {2'430'000},
                                                                   {2'700'000},
                                                                   {3'240'000},
                                                                   {4'320'000},
                                                                   {5'400'000},
                                                                   {8'100'000}});
  return kRates;
}

KilobitsPerSecond edp_payload(int lanes, KilobitsPerSecond rate) {
  return {rate.count * lanes * 8 / 10};
}

int bits_per_pixel(Mapping mapping) {
  switch (mapping) {
    case Mapping::kRgb18: return 18;
    case Mapping::kVesa24:
    case Mapping::kJeida24: return 24;
    case Mapping::kVesa30:
    case Mapping::kJeida30: return 30;
  }
  return 24;
}

std::string to_text(const FunctionValue& value) {
  return std::visit(ValueText{}, value);
}

const Rail* Board::rail(RailId id) const {
  const auto found = std::find_if(rails.begin(), rails.end(), [&](const Rail& one) { return one.id == id; });
  return found == rails.end() ? nullptr : &*found;
}

const Function* Board::function(FunctionId id) const {
  const auto found =
      std::find_if(functions.begin(), functions.end(), [&](const Function& one) { return one.id == id; });
  return found == functions.end() ? nullptr : &*found;
}

const Strap* Board::strap(std::string_view id) const {
  const auto found =
      std::find_if(straps.begin(), straps.end(), [&](const Strap& one) { return one.id == id; });
  return found == straps.end() ? nullptr : &*found;
}

bool Board::fitted(Point point) const {
  if (std::find(absent.begin(), absent.end(), point) != absent.end()) return false;
  if (profile == WireProfile::kOwn) {
    const auto holds = [&](const ForeignRegister& one) { return one.point == point; };
    const bool as_product = point == Point::kIdentityBoard && !wire.product.empty();
    if (!as_product && std::none_of(registers.begin(), registers.end(), holds)) return false;
  }
  return !is_strap_point(point) || strap_of(*this, point) != nullptr;
}

Evidence Board::evidence_of(Point point) const {
  if (!fitted(point)) return Evidence::kUnread;
  if (const auto said = evidence.find(point); said != evidence.end()) return said->second;
  const Strap* strap = is_strap_point(point) ? strap_of(*this, point) : nullptr;
  return strap != nullptr ? strap->evidence : usual_evidence(point);
}

Evidence usual_evidence(Point point) {
  if (is_strap_point(point)) return Evidence::kSensed;
  const bool input_as_chosen =
      point == Point::kInputSelected || point == Point::kInputSelection || point == Point::kInputHotPlug;
  const bool measured =
      between(point, Point::kRailsSupplyInMv, Point::kRailsBrownOuts) || point == Point::kBacklightEnableMv ||
      between(point, Point::kBacklightPwmFrequencyHz, Point::kBacklightDimmingMv) ||
      (between(point, Point::kInputSelected, Point::kInputColourForm) && !input_as_chosen) ||
      point == Point::kPanelLinkPixelClockKhz || point == Point::kPanelLinkPllLocked ||
      between(point, Point::kSequenceSupplyRiseUs, Point::kSequenceRestUs) ||
      between(point, Point::kThermalBoardMdegc, Point::kThermalPanelMdegc) ||
      between(point, Point::kKeypadPresent, Point::kKeypadKeys);
  return measured ? Evidence::kMeasured : Evidence::kDeclared;
}

}  // namespace host::model

template class std::vector<host::model::Rail>;
template class std::vector<host::model::FunctionRow>;
template class std::vector<host::model::FunctionRow::Setting>;
template class std::vector<host::model::Function>;
template class std::vector<host::model::VideoInput>;
template class std::vector<host::model::ForeignRegister>;
template class std::vector<host::model::ReadableRange>;
template class std::vector<host::model::Connector>;
