#include "host/link/link_error.hpp"

#include <array>
#include <cstddef>
#include <utility>

namespace host::link {

namespace {

struct FaultRow {
  Fault fault;
  std::string_view name;
  Domain domain;
  int exit_code;
  bool retry;
};

constexpr std::array kFaults{
    FaultRow{Fault::kBadLink, "bad-link", Domain::kCaller, 64, false},
    FaultRow{Fault::kNotAllowed, "not-allowed", Domain::kCaller, 64, false},
    FaultRow{Fault::kNotAvailable, "not-available", Domain::kCaller, 64, false},
    FaultRow{Fault::kProgramMissing, "program-missing", Domain::kFile, 66, false},
    FaultRow{Fault::kSimulatorEnded, "simulator-ended", Domain::kPort, 74, false},
    FaultRow{Fault::kPortMissing, "port-missing", Domain::kPort, 66, true},
    FaultRow{Fault::kNotATerminal, "not-a-terminal", Domain::kPort, 66, false},
    FaultRow{Fault::kNoRights, "no-rights", Domain::kPort, 77, false},
    FaultRow{Fault::kBusy, "busy", Domain::kPort, 74, true},
    FaultRow{Fault::kSettingsRefused, "settings-refused", Domain::kPort, 74, false},
    FaultRow{Fault::kGone, "gone", Domain::kPort, 74, true},
    FaultRow{Fault::kPortFailed, "port-failed", Domain::kPort, 74, false},
    FaultRow{Fault::kHostUnknown, "host-unknown", Domain::kPort, 66, false},
    FaultRow{Fault::kConnectionRefused, "connection-refused", Domain::kPort, 69, true},
    FaultRow{Fault::kUnreachable, "unreachable", Domain::kPort, 69, true},
    FaultRow{Fault::kTraceMissing, "trace-missing", Domain::kFile, 66, false},
    FaultRow{Fault::kTraceUnreadable, "trace-unreadable", Domain::kFile, 77, false},
    FaultRow{Fault::kBadTrace, "bad-trace", Domain::kFile, 65, false},
    FaultRow{Fault::kTraceEnded, "trace-ended", Domain::kFile, 65, false},
    FaultRow{Fault::kForeignTraffic, "foreign-traffic", Domain::kLine, 74, true},
    FaultRow{Fault::kSilent, "silent", Domain::kLine, 69, true},
    FaultRow{Fault::kNoisy, "noisy", Domain::kLine, 69, true},
    FaultRow{Fault::kSharedAddress, "shared-address", Domain::kLine, 69, true},
    FaultRow{Fault::kRefused, "refused", Domain::kUnit, 69, false},
    FaultRow{Fault::kSenseless, "senseless", Domain::kUnit, 69, true},
    FaultRow{Fault::kOutOfTime, "out-of-time", Domain::kLine, 69, true},
    FaultRow{Fault::kCancelled, "cancelled", Domain::kCaller, 130, true},
    FaultRow{Fault::kBrokenPrecondition, "broken-precondition", Domain::kOurs, 70, false},
};

const FaultRow& row_of(Fault fault) {
  for (const FaultRow& row : kFaults) {
    if (row.fault == fault) {
      return row;
    }
  }
  return kFaults.back();
}

}  // namespace

LinkError link_error(Fault fault, std::string message, std::string remedy) {
  const FaultRow& row = row_of(fault);
  LinkError error;
  error.fault = fault;
  error.domain = row.domain;
  error.exit_code = row.exit_code;
  error.retry = row.retry;
  error.message = std::move(message);
  error.remedy = std::move(remedy);
  return error;
}

tl::unexpected<LinkError> failure(Fault fault, std::string message, std::string remedy) {
  return tl::unexpected<LinkError>{link_error(fault, std::move(message), std::move(remedy))};
}

std::string_view name_of(Fault fault) {
  return row_of(fault).name;
}

std::string_view name_of(Domain domain) {
  constexpr std::array<std::string_view, 6> kNames{"caller", "file", "port", "line", "unit", "ours"};
  return kNames.at(static_cast<std::size_t>(domain));
}

}  // namespace host::link
