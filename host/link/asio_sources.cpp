// The one place where Asio's own sources are compiled; every other file sees its declarations only.
#include <asio/impl/src.hpp>
