#pragma once

#include "host/model/board.hpp"
#include "host/model/table_reader.hpp"

namespace host::model {

/// One [[rail]].
void read_rail(TableReader& table, Rail& rail);

/// What no table of a board file can say alone: connectors that are named exist, each thing a function
/// would select is either selected by one or stated, rows select only what a rail can be.
void check_board(TableReader& table, const Board& board);

}  // namespace host::model
