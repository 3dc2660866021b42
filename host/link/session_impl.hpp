#pragma once

#include <memory>
#include <optional>

#include "host/link/conversation.hpp"
#include "host/link/replay_port.hpp"
#include "host/link/session.hpp"
#include "host/link/sharing.hpp"
#include "host/link/simulator.hpp"
#include "host/link/transport.hpp"

namespace host::link {

/// What a session holds; for session.cpp (asking), session_open.cpp and session_reopen.cpp (coming back).
struct Session::Impl {
  std::shared_ptr<Replay> replay;      // of a trace link
  std::optional<Simulator> simulator;  // outlives the port, which is closed first
  std::unique_ptr<Conversation> talk;
  LinkUrl link;
  SessionOptions options;
  Deadline deadline;
  const CancelToken* cancel = nullptr;
  std::uint32_t seed = 1;
  std::uint32_t reopened = 0;
  bool can_reopen = false;
  bool looked_twice = false;  // for a second unit of the address
  protocol::base::Instant opened_at{};
  protocol::session::Statistics before;                // of conversations that ended with their port
  std::optional<protocol::base::Duration> turnaround;  // the shortest measured

  // session_open.cpp
  [[nodiscard]] LinkError explained(LinkError error);
  [[nodiscard]] LinkError second_look(LinkError error);
  [[nodiscard]] Result<Sharing> ask_aside();
  [[nodiscard]] protocol::session::ClientSettings client_settings(const Transport& way) const;
  [[nodiscard]] trace::Preamble preamble(const Transport& way) const;
  [[nodiscard]] Transport replayed(protocol::base::Instant start) const;
  [[nodiscard]] Result<void> begin(Transport way);

  // session_reopen.cpp
  [[nodiscard]] Result<void> come_back();
  [[nodiscard]] Result<void> reopen();

  // session.cpp
  [[nodiscard]] Result<void> check(const protocol::pdu::Request& request) const;
  [[nodiscard]] Result<protocol::pdu::Response> ask(const protocol::pdu::Request& request);
  [[nodiscard]] Result<DeviceObjects> objects(protocol::pdu::ReadDeviceId code);
};

/// The counts of two conversations after each other.
[[nodiscard]] protocol::session::Statistics sum(const protocol::session::Statistics& a,
                                                const protocol::session::Statistics& b);

}  // namespace host::link
