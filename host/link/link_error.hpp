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
  kCaller,  ///< what was asked for can't be done as written
  kFile,    ///< a file or program that should be there
  kPort,    ///< the serial port or pseudo-terminal of this machine
  kLine,    ///< the wire: silence, noise, somebody else's traffic
  kUnit,    ///< the unit answered, and refused or made no sense
  kOurs,    ///< a mistake of this program
};

/// What went wrong, one entry a cause that a person would act on differently; closed.
enum class Fault : std::uint8_t {
  kBadLink,            ///< the link's text can't be read as a link
  kNotAllowed,         ///< a write that WriteLimits holds back
  kNotAvailable,       ///< a kind of link this version doesn't have
  kProgramMissing,     ///< the simulator isn't where it should be
  kSimulatorEnded,     ///< the simulator ended before or while it was used
  kPortMissing,        ///< no such device
  kNotATerminal,       ///< the path is there and isn't a serial port
  kNoRights,           ///< the user may not open it
  kBusy,               ///< another program has it
  kSettingsRefused,    ///< the driver doesn't take baud, parity or stop bits
  kGone,               ///< it was there and was unplugged or hung up
  kPortFailed,         ///< any other answer of the operating system
  kHostUnknown,        ///< no host of that name
  kConnectionRefused,  ///< the host is there and nothing listens at that port
  kUnreachable,        ///< no way to the host, or no word from it
  kTraceMissing,       ///< no such file
  kTraceUnreadable,    ///< the user may not read it
  kBadTrace,           ///< a file that is no wire trace
  kTraceEnded,         ///< a trace that doesn't hold what is asked of it
  kForeignTraffic,     ///< somebody else is talking on this line
  kSilent,             ///< nothing came back
  kNoisy,              ///< something came back, never a sound answer
  kRefused,            ///< the unit answered with an exception
  kSharedAddress,      ///< more than one unit answers at the address
  kSenseless,          ///< a sound frame whose contents can't be right
  kOutOfTime,          ///< the whole command's time is over
  kCancelled,          ///< a signal or the caller ended it
  kBrokenPrecondition  ///< we asked for what can't be asked
};

/// One failure, with what a person needs to mend it. A value: no call of this room throws.
struct LinkError {
  Fault fault = Fault::kBrokenPrecondition;
  Domain domain = Domain::kOurs;
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
