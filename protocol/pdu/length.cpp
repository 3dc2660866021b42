#include "protocol/pdu/length.hpp"
