#include "protocol/session/client.hpp"

#include "protocol/session/client_machine.hpp"

namespace protocol::session {

template class Client<AllGuards>;

}  // namespace protocol::session
