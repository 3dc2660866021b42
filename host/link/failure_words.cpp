#include <string>
#include <string_view>
#include <utility>

#include <fmt/core.h>

#include "host/link/conversation.hpp"

namespace host::link {

namespace {

using protocol::pdu::ExceptionCode;
using protocol::session::FailureKind;

// The standard's own names. Source  AP V1.1b3, 7.
std::string_view name_of(ExceptionCode code) {
  switch (code) {
    case ExceptionCode::kNone: return "no exception";
    case ExceptionCode::kIllegalFunction: return "illegal function";
    case ExceptionCode::kIllegalDataAddress: return "illegal data address";
    case ExceptionCode::kIllegalDataValue: return "illegal data value";
    case ExceptionCode::kServerDeviceFailure: return "server device failure";
    case ExceptionCode::kAcknowledge: return "acknowledge";
    case ExceptionCode::kServerDeviceBusy: return "server device busy";
    case ExceptionCode::kMemoryParityError: return "memory parity error";
    case ExceptionCode::kGatewayPathUnavailable: return "gateway path unavailable";
    case ExceptionCode::kGatewayTargetFailed: return "gateway target device failed to respond";
  }
  return "an exception the standard doesn't know";
}

std::string remedy_of(ExceptionCode code, std::string otherwise) {
  const bool busy = code == ExceptionCode::kServerDeviceBusy || code == ExceptionCode::kAcknowledge;
  return busy ? "the unit is busy: run the command again in a while" : std::move(otherwise);
}

struct Words {
  Fault fault;
  std::string what;
  std::string remedy;
};

std::string exception_words(ExceptionCode code) {
  return fmt::format("exception {:02X}, {}", static_cast<unsigned>(code), name_of(code));
}

Words words_of(const protocol::session::Failure& failure, Medium medium) {
  const std::string counted = fmt::format("{} octets came back", failure.octets_received);
  switch (failure.kind) {
    case FailureKind::kCancelled:
      return {Fault::kCancelled, "the request was given up", "run the command again"};
    case FailureKind::kException:
      if (failure.exception == ExceptionCode::kGatewayPathUnavailable ||
          failure.exception == ExceptionCode::kGatewayTargetFailed) {
        return {Fault::kSilent,
                "the gateway has no answer of it (" + exception_words(failure.exception) + ")",
                "look at the unit's power and its line to the gateway, then at address and speed set there"};
      }
      return {
          Fault::kRefused, "it refused with " + exception_words(failure.exception),
          remedy_of(failure.exception, "compare the unit's firmware and profile with what the kit expects")};
    case FailureKind::kFenceRefused:
      return {
          Fault::kRefused,
          "it refuses function 08/00 (" + exception_words(failure.exception) +
              "), so no answer can be told from an old one",
          remedy_of(failure.exception, "this board can't be read safely over a line that has shown trouble")};
    case FailureKind::kMismatch:
      if (medium == Medium::kModbusTcp) {
        return {Fault::kSenseless, "its answers belong to some other request or unit",
                "check the unit's address, and whether the gateway is slower than the board's file says"};
      }
      return {
          Fault::kSenseless, "its answers belong to some other request",
          "look for a second master, for two units with one address, or for a unit or gateway slower than its "
          "board's file says"};
    case FailureKind::kSilence:
      if (medium != Medium::kSerial) {
        return {
            Fault::kSilent, "nothing came back",
            "look at the unit's power and its line to the device server first, then at the address, and at "
            "the speed and parity set there"};
      }
      return {Fault::kSilent, "nothing came back",
              "look at the unit's power and the service cable first, then at address, baud and parity; on "
              "RS-485 the two wires may be swapped"};
    case FailureKind::kNoise:
      if (medium != Medium::kSerial) {
        return {Fault::kNoisy, counted + " and no sound frame among them",
                medium == Medium::kModbusTcp
                    ? "this may be RTU over TCP: try tcp:// in place of mbtcp://"
                    : "this may be Modbus/TCP: try mbtcp:// in place of tcp://; else "
                      "check speed and parity set at the device server"};
      }
      return {Fault::kNoisy, counted + " and no sound frame among them",
              "check baud and parity first, then termination, bias and ground of the line"};
    case FailureKind::kTruncated:
      return {Fault::kNoisy, counted + ", then the answer broke off",
              "look for a loose contact or an adapter that drops octets"};
    case FailureKind::kForeign:
      if (medium == Medium::kModbusTcp) {
        return {Fault::kNoisy, "only frames of another protocol came",
                "look what listens at that port; for Modbus/TCP it is 502 unless somebody changed it"};
      }
      return {Fault::kNoisy, "only other units' frames came", "check the unit's address"};
    case FailureKind::kEchoOnly:
      return {
          Fault::kSilent, "only our own octets came back, as an echo",
          "the adapter hears itself; look at the unit's power, its address and the cable behind the adapter"};
    case FailureKind::kCollision:
      return {Fault::kNoisy, "our own echo came back damaged",
              "somebody else talks at the same time: look for a second master"};
    case FailureKind::kBabble:
      return {Fault::kNoisy, "the line was never quiet long enough to talk",
              "look for a second master, for two units with one address, or a floating line without bias"};
  }
  return {Fault::kBrokenPrecondition, "an unknown failure", {}};
}

std::string_view asked_in(protocol::session::Exchange exchange) {
  switch (exchange) {
    case protocol::session::Exchange::kProbe: return "the first read";
    case protocol::session::Exchange::kFence: return "the freshness check";
    case protocol::session::Exchange::kSpacer: return "a read between two alike";
    case protocol::session::Exchange::kRequest: break;
  }
  return "the request";
}

}  // namespace

std::string place_of(const Transport& way) {
  return way.is_serial ? way.port->name() + " at " + to_text(way.line) : way.port->name();
}

LinkError to_link_error(const protocol::session::Failure& failure, std::uint8_t unit_address,
                        const std::string& place, Medium medium) {
  Words words = words_of(failure, medium);
  const unsigned tried = failure.failed_attempts == 0 ? 1U : failure.failed_attempts;
  LinkError error = link_error(words.fault,
                               fmt::format("unit {} on {}: {} ({}, {} {} of {} ms)", unit_address, place,
                                           words.what, asked_in(failure.during), tried,
                                           tried == 1 ? "try" : "tries", failure.waited.count() / 1000),
                               std::move(words.remedy));
  if (failure.exception != ExceptionCode::kNone) {
    error.exception_code = static_cast<std::uint8_t>(failure.exception);
  }
  return error;
}

}  // namespace host::link
