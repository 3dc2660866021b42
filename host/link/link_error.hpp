#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "protocol/base/time.hpp"

namespace host::link {

/// Whose fault an error is; closed. Diagnosis starts here.
enum class Domain : std::uint8_t {
  caller,  ///< what was asked for can't be done as written
  file,    ///< a file or program that should be there
  port,    ///< the serial port or pseudo-terminal of this machine
  line,    ///< the wire: silence, noise, somebody else's traffic
  unit,    ///< the unit answered, and refused or made no sense
  ours,    ///< a mistake of this program
};

/// What went wrong, one entry a cause that a person would act on differently; closed.
enum class Fault : std::uint8_t {
  bad_link,            ///< the link's text can't be read as a link
  not_available,       ///< a kind of link this version doesn't have
  program_missing,     ///< the simulator isn't where it should be
  simulator_ended,     ///< the simulator ended before or while it was used
  port_missing,        ///< no such device
  not_a_terminal,      ///< the path is there and isn't a serial port
  no_rights,           ///< the user may not open it
  busy,                ///< another program has it
  settings_refused,    ///< the driver doesn't take baud, parity or stop bits
  gone,                ///< it was there and was unplugged or hung up
  port_failed,         ///< any other answer of the operating system
  foreign_traffic,     ///< somebody else is talking on this line
  silent,              ///< nothing came back
  noisy,               ///< something came back, never a sound answer
  refused,             ///< the unit answered with an exception
  senseless,           ///< a sound frame whose contents can't be right
  out_of_time,         ///< the whole command's time is over
  cancelled,           ///< a signal or the caller ended it
  broken_precondition  ///< we asked for what can't be asked
};

/// One failure, with what a person needs to mend it. A value: no call of this room throws.
struct LinkError {
  Fault fault = Fault::broken_precondition;
  Domain domain = Domain::ours;
  int exit_code = 70;  ///< sysexits, or 128 + signal
  bool retry = false;  ///< whether the same call may succeed a moment later
  std::string message;
  std::string remedy;
  std::string port;                               ///< what the port is called; empty if none was opened
  std::optional<std::uint16_t> register_address;  ///< first register of the request that failed
  std::optional<std::uint8_t> exception_code;     ///< what the unit refused with
  protocol::base::Duration elapsed{};             ///< time spent on the request that failed
};

template <typename T>
using Result = tl::expected<T, LinkError>;

/// An error of `fault` with the domain, exit code and retry that belong to it (one table, in
/// link_error.cpp). Exit codes: 64 usage, 65 data, 66 no input, 69 no valid answer, 74 I/O or busy,
/// 77 permission, 130 cancelled; 70 is a mistake of ours.
[[nodiscard]] LinkError link_error(Fault fault, std::string message, std::string remedy = {});

/// link_error() wrapped for a return statement.
[[nodiscard]] tl::unexpected<LinkError> failure(Fault fault, std::string message, std::string remedy = {});

/// The words of the closed lists, as they stand in JSON and logs: "line", "foreign-traffic".
[[nodiscard]] std::string_view name_of(Domain domain);
[[nodiscard]] std::string_view name_of(Fault fault);

}  // namespace host::link
