#include <set>

#include "host/model/part_file.hpp"

namespace host::model {
namespace {

constexpr int kPinMax = 200;

void read_wires(TableReader& table, Cable& cable) {
  std::set<std::pair<int, int>> joined;
  table.must_tables("wires", [&](TableReader& reader) {
    Cable::Wire wire;
    reader.must_whole("board", wire.board_pin, 1, kPinMax);
    reader.must_whole("far", wire.far_pin, 1, kPinMax);
    reader.must("gauge", wire.gauge);
    reader.may("pair", wire.pair);
    if (wire.board_pin != 0 && wire.far_pin != 0 && !joined.emplace(wire.board_pin, wire.far_pin).second) {
      reader.complaints().add(reader.place(), "joins the same two pins as another wire",
                              "list each wire once");
    }
    cable.wires.push_back(std::move(wire));
  });
}

}  // namespace

Loaded<FromFile<Cable>> read_cable(const SourceFile& file) {
  return read_part<Cable>(file, [&](TableReader& table, Cable& cable) {
    read_about(table, file, cable.about);
    table.must_table("ends", [&](TableReader& ends) {
      ends.must_id("board", cable.board_family);
      ends.must_id("far", cable.far_family);
    });
    table.must("length", cable.length);
    read_wires(table, cable);
  });
}

Loaded<FromFile<Supply>> read_supply(const SourceFile& file) {
  return read_part<Supply>(file, [&](TableReader& table, Supply& supply) {
    read_about(table, file, supply.about);
    table.must("voltage", supply.voltage, kWholeWindow);
    if (supply.voltage.min && !supply.voltage.nominal) {
      table.complain("voltage", "has no nominal value", "write such as \"24 V ±5 %\"");
    }
    table.may("extremes", supply.extremes, kWholeWindow);
    const bool dips =
        !supply.extremes.min || !supply.voltage.min || *supply.extremes.min <= *supply.voltage.min;
    const bool surges =
        !supply.extremes.max || !supply.voltage.max || *supply.extremes.max >= *supply.voltage.max;
    if (!dips || !surges) {
      table.complain("extremes", "lie inside 'voltage'", "write how far it dips and surges beyond it");
    }
    table.must("power", supply.power);
  });
}

Loaded<FromFile<Keypad>> read_keypad(const SourceFile& file) {
  return read_part<Keypad>(file, [&](TableReader& table, Keypad& keypad) {
    read_about(table, file, keypad.about);
    table.must("voltage", keypad.voltage, kWholeWindow);
    table.must("current", keypad.current);
    table.must_whole("keys", keypad.keys, 1, 16);
    table.must_id("connector", keypad.connector);
    table.may_table("nets", [&](TableReader& nets) { read_nets(nets, keypad.nets); });
  });
}

}  // namespace host::model
