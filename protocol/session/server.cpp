#include "protocol/session/server.hpp"

#include "protocol/session/server_machine.hpp"

namespace protocol::session {

template class BasicServer<Device>;

}  // namespace protocol::session
