#include "protocol/pdu/response.hpp"
