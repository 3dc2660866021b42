#include "sim/port/line_fault.hpp"

namespace sim::port {

tl::expected<void, std::string> add_line_fault(LineTrouble& trouble, const fault::Fault& fault,
                                               const line::CharacterFormat& own) {
  switch (fault.kind) {
    case fault::Kind::kSerialSilent: trouble.station.mute = true; break;
    case fault::Kind::kSerialSwapped: trouble.station.swapped = true; break;
    case fault::Kind::kAddressClash: trouble.clash = true; break;
    default: {
      const auto format = line::parse_format(fault.as<std::string>(), own);
      if (!format) return tl::unexpected("fault serial-settings: " + format.error());
      trouble.station.format = *format;
    }
  }
  return {};
}

fault::Kind kind_of(line::Acted how) {
  switch (how) {
    case line::Acted::kMute: return fault::Kind::kSerialSilent;
    case line::Acted::kSwapped: return fault::Kind::kSerialSwapped;
    case line::Acted::kFormat: return fault::Kind::kSerialSettings;
    case line::Acted::kIntruder: break;
  }
  return fault::Kind::kAddressClash;
}

void mend_line_fault(LineTrouble& trouble, fault::Kind kind) {
  switch (kind) {
    case fault::Kind::kSerialSilent: trouble.station.mute = false; break;
    case fault::Kind::kSerialSwapped: trouble.station.swapped = false; break;
    case fault::Kind::kAddressClash: trouble.clash = false; break;
    default: trouble.station.format.reset();
  }
}

}  // namespace sim::port
