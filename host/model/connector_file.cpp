#include <algorithm>
#include <array>
#include <charconv>

#include "host/model/part_file.hpp"

namespace host::model {
namespace {

constexpr int kPinMax = 200;
constexpr std::array<std::string_view, 4> kSides = {"left", "right", "top", "bottom"};

/// "7", or "1-3" for three pins with one net; {0, 0} for anything else.
std::pair<int, int> pins_of(std::string_view key) {
  const auto number = [](std::string_view text) {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool sound = error == std::errc() && end == text.data() + text.size() && text[0] != '0';
    return sound && value >= 1 && value <= kPinMax ? value : 0;
  };
  const std::size_t dash = key.find('-');
  if (key.empty() || dash == 0 || dash + 1 == key.size()) return {0, 0};
  const int first = number(key.substr(0, dash));
  const int last = dash == std::string_view::npos ? first : number(key.substr(dash + 1));
  return first == 0 || last < first ? std::pair{0, 0} : std::pair{first, last};
}

constexpr auto kLevels = std::to_array<Word<Level>>({{"low", Level::kLow}, {"high", Level::kHigh}});

void read_selects(TableReader& selects, Connector& connector) {
  for (const TomlNode& select : selects.node().items) {
    const auto [first, last] = pins_of(select.key);
    SelectPin pin;
    selects.must_table(select.key, [&](TableReader& reader) {
      reader.must("needs", pin.needs, std::span<const Word<Level>>(kLevels));
      reader.must("open", pin.open, std::span<const Word<Level>>(kLevels));
    });
    if (first == 0 || first != last || !connector.nets.contains(first)) {
      selects.complaints().add(select.key_place, "'" + select.key + "' is no pin with a net",
                               "write one pin that 'nets' names");
      continue;
    }
    connector.selects[first] = pin;
  }
}

}  // namespace

void read_nets(TableReader& nets, std::map<int, std::string>& named) {
  Canonical by_pin;
  for (const TomlNode& net : nets.node().items) {
    static_cast<void>(nets.take(net.key, true));
    const auto [first, last] = pins_of(net.key);
    if (first == 0) {
      nets.complaints().add(net.key_place, "'" + net.key + "' is no pin",
                            "write a pin from 1 to 200, or a run such as 1-3");
      continue;
    }
    if (net.kind != TomlNode::Kind::kText || net.text.empty()) {
      nets.complain(net.key, "expects the name of a net in double quotes");
      continue;
    }
    for (int pin = first; pin <= last; ++pin) {
      if (!named.emplace(pin, net.text).second) {
        nets.complaints().add(net.key_place, "pin " + std::to_string(pin) + " has two nets",
                              "a pin is on one net; name it once");
      }
    }
  }
  for (const auto& [pin, net] : named) by_pin.add(std::to_string(pin), Canonical::of(net));
  nets.keep("by_pin", std::move(by_pin));
}

namespace {

void read_connector(TableReader& table, Connector& connector) {
  table.must("id", connector.id);
  if (!connector.id.empty() && !is_designator(connector.id, "X")) {
    table.complain("id", "of a connector is X and a number, got '" + connector.id + "'", "such as \"X2\"");
  }
  table.must_id("class", connector.family);
  table.must_pair("at", ',', connector.x, connector.y, kFromZero);
  table.must_one_of("pin_1", connector.pin_1, kSides);
  table.may("keyed", connector.keyed);
  table.may_table("nets", [&](TableReader& nets) { read_nets(nets, connector.nets); });
  const int reached = connector.nets.empty() ? 0 : connector.nets.rbegin()->first;
  connector.pins = reached;
  table.may_whole("pins", connector.pins, 1, kPinMax);
  if (connector.pins < reached) {
    table.complain("pins",
                   "is " + std::to_string(connector.pins) + ", but nets name pin " + std::to_string(reached));
  }
  table.may("contact_rating", connector.contact_rating);
  table.may_table("selects", [&](TableReader& selects) { read_selects(selects, connector); });
}

}  // namespace

void read_connectors(TableReader& table, std::vector<Connector>& connectors) {
  table.must_tables("connector", [&](TableReader& reader) {
    Connector connector;
    read_connector(reader, connector);
    const auto same = [&](const Connector& other) { return other.id == connector.id; };
    if (!connector.id.empty() && std::any_of(connectors.begin(), connectors.end(), same)) {
      reader.complain("id", "'" + connector.id + "' is taken by another connector of this file",
                      "give each connector its own number");
    }
    connectors.push_back(std::move(connector));
  });
}

}  // namespace host::model
