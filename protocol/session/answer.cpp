#include "protocol/session/answer.hpp"
