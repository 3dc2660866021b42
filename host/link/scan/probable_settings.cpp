#include "host/link/scan/probable_settings.hpp"

#include <algorithm>

namespace host::link::scan {

std::vector<LineSettings> probable_settings(const SerialLink& link) {
  std::vector<LineSettings> settings;
  // A receiver of one stop bit takes two, so 8N2 finds units of 8N1 as well.
  for (const LineSettings format : {LineSettings{0, Parity::kEven, 1}, LineSettings{0, Parity::kNone, 2},
                                    LineSettings{0, Parity::kOdd, 1}}) {
    for (const std::uint32_t baud : {115200U, 19200U, 9600U, 38400U, 57600U, 4800U, 2400U, 1200U}) {
      LineSettings one = format;
      one.baud = link.baud.value_or(baud);
      one.parity = link.parity.value_or(format.parity);
      one.stop_bits = link.stop_bits.value_or(one.parity == Parity::kNone ? 2 : 1);
      if (std::find(settings.begin(), settings.end(), one) == settings.end()) {
        settings.push_back(one);
      }
    }
  }
  return settings;
}

}  // namespace host::link::scan
