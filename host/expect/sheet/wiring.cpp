#include <algorithm>
#include <array>

#include "host/expect/phrases.hpp"
#include "host/expect/sheet/sections.hpp"

namespace host::expect::sheet {
namespace {

using model::Connector;

// The n-th connector of a family.
const Connector* of_family(const std::vector<Connector>& connectors, std::string_view family, int nth) {
  for (const Connector& connector : connectors) {
    if (connector.family == family && nth-- == 0) return &connector;
  }
  return nullptr;
}

const Connector* by_id(const model::Board& board, std::string_view id) {
  const auto found = std::ranges::find(board.connectors, id, &Connector::id);
  return found == board.connectors.end() ? nullptr : &*found;
}

constexpr std::array<std::string_view, 4> kPurposes = {"panel link", "backlight", "keypad", "other"};

std::string pin_1_text(const Connector& connector) {
  return connector.pin_1.empty() ? "pin 1 as marked" : phrase("pin 1 at the ", connector.pin_1);
}

std::string keyed_text(const Connector& connector) {
  return connector.keyed ? "keyed"
                         : "NOT KEYED, goes in both ways round: mark to mark before it is pushed in";
}

std::string end_text(std::string_view end, std::string_view family, const Connector* connector,
                     std::string_view part) {
  if (connector == nullptr) return phrase(end, " end (", family, ") to ", part);
  return phrase(end, " end (", family, ") to ", connector->id, " of ", part, ", ", pin_1_text(*connector),
                ", ", keyed_text(*connector));
}

// The wire that tells the ends apart with a meter: the one from the board's pin 1.
std::string first_wire(const Joint& joint) {
  const auto wire = std::ranges::find(joint.cable->wires, 1, &model::Cable::Wire::board_pin);
  if (wire == joint.cable->wires.end()) return {};
  std::string net;
  if (joint.board != nullptr) {
    if (const auto named = joint.board->nets.find(1); named != joint.board->nets.end())
      net = phrase(" (", named->second, ")");
  }
  return phrase("; board pin 1", net, " goes to far pin ", wire->far_pin);
}

std::string ends_text(const Joint& joint) {
  return phrase(joint.cable->board_family == joint.cable->far_family
                    ? "its ends look alike and are not interchangeable: mark the board end"
                    : "its ends are not interchangeable",
                first_wire(joint));
}

// "VIN pins 1, 2; GND pins 3, 4".
std::string nets_text(const Connector& connector) {
  std::vector<std::pair<std::string, std::string>> nets;
  for (const auto& [pin, net] : connector.nets) {
    const auto known = std::ranges::find(nets, net, &std::pair<std::string, std::string>::first);
    if (known == nets.end()) {
      nets.emplace_back(net, std::to_string(pin));
    } else {
      known->second += phrase(", ", pin);
    }
  }
  std::string text;
  for (const auto& [net, pins] : nets) text += phrase(text.empty() ? "" : "; ", net, " on pin ", pins);
  return text;
}

std::string place_text(const model::Board& board, const std::string& id) {
  const Connector* connector = by_id(board, id);
  return connector == nullptr ? id
                              : phrase(id, " of board ", board.about.id, ", ", pin_1_text(*connector), ", ",
                                       keyed_text(*connector));
}

}  // namespace

std::vector<Joint> joints_of(const model::Kit& kit) {
  std::vector<Joint> joints;
  std::map<std::string, int> board_used, far_used;
  for (const auto& [designator, cable] : kit.cables) {
    Joint joint{designator, &cable, nullptr, nullptr, "nothing", std::string(kPurposes.back())};
    joint.board = of_family(kit.board.connectors, cable.board_family, board_used[cable.board_family]++);
    joint.far = of_family(kit.panel.connectors, cable.far_family, far_used[cable.far_family]++);
    if (joint.far != nullptr) {
      joint.far_part = phrase("panel ", kit.panel.about.id);
    } else if (kit.keypad && kit.keypad->connector == cable.far_family) {
      joint.far_part = phrase("keypad ", kit.keypad->about.id);
      joint.purpose = kPurposes[2];
    }
    if (cable.far_family == kit.panel.link.connector) joint.purpose = kPurposes[0];
    if (cable.far_family == kit.panel.backlight.connector) joint.purpose = kPurposes[1];
    joints.push_back(std::move(joint));
  }
  std::ranges::stable_sort(joints, {}, [](const Joint& joint) {
    return std::ranges::find(kPurposes, std::string_view(joint.purpose)) - kPurposes.begin();
  });
  return joints;
}

std::string purpose_of(const model::Kit& kit, const std::string& connector) {
  const model::Board& board = kit.board;
  std::string text;
  const auto add = [&](const std::string& what) { text += phrase(text.empty() ? "" : ", ", what); };
  if (board.input_supply.connector == connector) add("supply input");
  for (const Joint& joint : joints_of(kit)) {
    if (joint.board != nullptr && joint.board->id == connector)
      add(phrase(joint.purpose, " ", joint.designator));
  }
  if (text.empty() && board.link.connector == connector) add("panel link");
  if (text.empty() && board.light.connector == connector) add("backlight");
  for (const auto& input : board.inputs) {
    if (input.connector != connector) continue;
    add(input.id == kit.video.input ? phrase(input.id, " (source)") : phrase(input.id, " (free)"));
  }
  if (board.service.connector == connector) add("service line");
  return text.empty() ? "free" : text;
}

void add_wiring(report::Document& sheet, const model::Kit& kit) {
  const model::Board& board = kit.board;
  report::Table table{{"step", "what", "where and which way round"}, {}};
  const auto step = [&](std::string what, std::string where) {
    table.rows.push_back(
        {{std::to_string(table.rows.size() + 1), std::move(what), std::move(where)}, report::Tone::kPlain});
  };
  step("supply off and pulled",
       "nothing plugged in; board and panel on a clean insulating surface, wrist strap on");
  step("set the straps",
       "as drawn; a second look at each before the next step. A keyed plug goes in one way round only: "
       "what doesn't slide in is the wrong way round or the wrong end");
  for (const Joint& joint : joints_of(kit)) {
    step(phrase(joint.designator, " ", joint.purpose, ": ", joint.cable->about.id),
         phrase(end_text("board", joint.cable->board_family, joint.board, phrase("board ", board.about.id)),
                "; ", end_text("far", joint.cable->far_family, joint.far, joint.far_part), "; ",
                ends_text(joint)));
  }
  step("service line", phrase(place_text(board, board.service.connector), "; ", board.service.level, ", ",
                              board.service.baud, " baud, parity ", board.service.parity));
  const auto input = std::ranges::find(board.inputs, kit.video.input, &model::VideoInput::id);
  if (input != board.inputs.end()) {
    step(phrase("video source, still off: ", input->id),
         phrase(input->kind, " cable to ", place_text(board, input->connector)));
  }
  step("look it all over",
       "straps as drawn, every plug home and latched, nothing loose or bare, nothing under "
       "the board");
  const Connector* power = by_id(board, board.input_supply.connector);
  step(phrase("supply last: ", kit.supply.about.id),
       phrase(place_text(board, board.input_supply.connector),
              power == nullptr || power->nets.empty() ? "" : "; ",
              power == nullptr ? std::string() : nets_text(*power),
              "; polarity checked with a meter at the open plug first: ", limits_text(kit.supply.voltage)));
  step("power on", "first the indicator, then the light, then the picture; anything else: supply off");
  step("to take apart", "source off, supply off and pulled, wait, then the same steps backwards");
  sheet.nodes.emplace_back(report::Heading{"Wiring order"});
  sheet.nodes.emplace_back(std::move(table));
}

}  // namespace host::expect::sheet
