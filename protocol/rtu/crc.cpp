#include "protocol/rtu/crc.hpp"
