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
    FaultRow{Fault::bad_link, "bad-link", Domain::caller, 64, false},
    FaultRow{Fault::not_available, "not-available", Domain::caller, 64, false},
    FaultRow{Fault::program_missing, "program-missing", Domain::file, 66, false},
    FaultRow{Fault::simulator_ended, "simulator-ended", Domain::port, 74, false},
    FaultRow{Fault::port_missing, "port-missing", Domain::port, 66, true},
    FaultRow{Fault::not_a_terminal, "not-a-terminal", Domain::port, 66, false},
    FaultRow{Fault::no_rights, "no-rights", Domain::port, 77, false},
    FaultRow{Fault::busy, "busy", Domain::port, 74, true},
    FaultRow{Fault::settings_refused, "settings-refused", Domain::port, 74, false},
    FaultRow{Fault::gone, "gone", Domain::port, 74, true},
    FaultRow{Fault::port_failed, "port-failed", Domain::port, 74, false},
    FaultRow{Fault::foreign_traffic, "foreign-traffic", Domain::line, 74, true},
    FaultRow{Fault::silent, "silent", Domain::line, 69, true},
    FaultRow{Fault::noisy, "noisy", Domain::line, 69, true},
    FaultRow{Fault::refused, "refused", Domain::unit, 69, false},
    FaultRow{Fault::senseless, "senseless", Domain::unit, 69, true},
    FaultRow{Fault::out_of_time, "out-of-time", Domain::line, 69, true},
    FaultRow{Fault::cancelled, "cancelled", Domain::caller, 130, true},
    FaultRow{Fault::broken_precondition, "broken-precondition", Domain::ours, 70, false},
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
