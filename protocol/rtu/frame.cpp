#include "protocol/rtu/frame.hpp"
