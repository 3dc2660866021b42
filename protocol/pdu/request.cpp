#include "protocol/pdu/request.hpp"
