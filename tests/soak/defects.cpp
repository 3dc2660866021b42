#include "tests/soak/defects.hpp"

#include <array>

namespace tests::soak {

namespace {

using protocol::session::AllGuards;

struct NoAddress : AllGuards {
  static constexpr bool kAddress = false;
};
struct NoLength : AllGuards {
  static constexpr bool kExactLength = false;
};
struct NoByteCount : AllGuards {
  static constexpr bool kByteCount = false;
};
struct NoLateness : AllGuards {
  static constexpr bool kLateness = false;
};
struct NoFence : AllGuards {
  static constexpr bool kFence = false;
};
struct NoCrc : AllGuards {
  static constexpr bool kCrc = false;
};
struct NoCrcHighOctet : AllGuards {
  static constexpr bool kCrcHighOctet = false;
};
struct NoFunction : AllGuards {
  static constexpr bool kFunction = false;
};
struct NoExceptionBit : AllGuards {
  static constexpr bool kExceptionBit = false;
};
struct NoStrayOctets : AllGuards {
  static constexpr bool kStrayOctets = false;
};
struct NoUnlikeNeighbours : AllGuards {
  static constexpr bool kUnlikeNeighbours = false;
};
struct NoEcho : AllGuards {
  static constexpr bool kEcho = false;
};

template <typename Guards, bool echo = false>
Tally run(std::uint64_t seed, std::uint64_t transactions) {
  Tally tally;
  Run<Guards>{dense_mix(echo), seed}.go(transactions, tally);
  return tally;
}

constexpr std::array<Defect, 12> kDefects{{
    {"address", "takes answers of any unit", run<NoAddress>},
    {"length", "takes answers of any length", run<NoLength>},
    {"byte-count", "takes answers with more in them than was asked", run<NoByteCount>},
    {"lateness", "thinks that what it gave up will not come", run<NoLateness>},
    {"fence", "goes on after trouble as if there had been none", run<NoFence>},
    {"crc", "takes frames whatever their CRC", run<NoCrc>},
    {"crc-high-octet", "compares half of the CRC", run<NoCrcHighOctet>},
    {"function", "takes answers of any function", run<NoFunction>},
    {"exception-bit", "takes a refusal for an answer", run<NoExceptionBit>},
    {"stray", "reads what came between two requests as the next answer", run<NoStrayOctets>},
    {"neighbours", "reads the same shape twice in a row", run<NoUnlikeNeighbours>},
    {"echo", "takes its own echo for an acknowledgement", run<NoEcho, true>},
}};

}  // namespace

std::span<const Defect> defects() {
  return kDefects;
}

}  // namespace tests::soak
