#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "host/model/kit.hpp"
#include "host/model/table_reader.hpp"

namespace host::model {

/// An id of another file, and where a kit names it.
struct Named {
  std::string id;
  Place place;
};

/// What a kit file says by itself.
struct KitFile {
  Kit kit;  // its parts still empty
  std::optional<Named> panel, board, supply, keypad;
  std::map<std::string, Named> cables;  // by designator
  std::vector<Named> attested;
  Place input_place;
};

/// Reads a kit file; goes on after errors, so that the files it names can be read as well.
void read_kit(TableReader& table, const SourceFile& file, KitFile& kit_file);

/// What a kit says of its board: the input it uses, the straps a person may answer for.
void check_kit(Complaints& complaints, const KitFile& kit_file, const Board& board);

}  // namespace host::model
