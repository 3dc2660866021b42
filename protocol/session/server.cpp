#include "protocol/session/server.hpp"
