#include "protocol/pdu/identification.hpp"
