#pragma once

#include <string>

#include "host/expect/nets/judge.hpp"

namespace tests {

/// A cable that is right: 30 pins to 32, two channels of four pairs at 519.75 Mbit/s, 12 V at 0.6 A.
///
///   board X2  1-3 VPANEL  4-6 GND  7-17 A0- A0+ A1- A1+ A2- A2+ GND ACLK- ACLK+ A3- A3+
///             18-28 B0- B0+ B1- B1+ GND B2- B2+ BCLK- BCLK+ B3- B3+  29 SCAN  30 V33
///   panel X1  1 MAP_SEL (needs low, open high)  2-4 GND  5-15 and 16-26 the pairs as on the board  27 SCAN
///             29 GND  30-32 VPANEL
[[nodiscard]] host::expect::nets::Route bench_route();
[[nodiscard]] host::expect::nets::Loads bench_loads();

/// The wire that ends at a pin of the panel. Precondition: there is one.
[[nodiscard]] host::model::Cable::Wire& wire_to(host::expect::nets::Route& route, int far_pin);

/// Takes the wire that ends there out.
void cut(host::expect::nets::Route& route, int far_pin);

/// Exchanges where two wires end.
void exchange(host::expect::nets::Route& route, int far_pin, int other_far_pin);

/// "danger cable-short, fault cable-pair-open".
[[nodiscard]] std::string named(const host::expect::nets::Findings& findings);

}  // namespace tests
