#include "protocol/session/client.hpp"
