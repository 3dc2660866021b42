#include "host/model/board_file.hpp"

#include <algorithm>
#include <array>

#include "host/model/part_file.hpp"
#include "host/model/words.hpp"

namespace host::model {
namespace {

constexpr Rules kTolerance{.min = 0, .max = 500'000};
constexpr std::array<std::string_view, 3> kLevels = {"rs-485", "rs-232", "ttl"};
constexpr std::array<std::string_view, 2> kAtLoss = {"in-order", "at-once"};
constexpr std::array<std::string_view, 3> kParities = {"even", "odd", "none"};
constexpr std::array<std::string_view, 4> kInputKinds = {"hdmi", "dvi", "vga", "displayport"};
constexpr Rules kMessageFor{.min = 1'000'000, .max = 600'000'000};  // long enough to be read; not for ever
constexpr std::size_t kEdidTimingsMax = 2;  // four descriptors, less the display's name and its limits

void read_service(TableReader& table, Board::Service& service) {
  table.must("connector", service.connector);
  table.must_one_of("level", service.level, kLevels);
  table.must_whole("baud", service.baud, 300, 4'000'000);
  table.must_one_of("parity", service.parity, kParities);
  table.must("turnaround", service.turnaround, kFromZero);
  table.may("gap", service.gap, kFromZero);
}

void read_input_supply(TableReader& table, Board::InputSupply& supply) {
  table.must("voltage", supply.voltage, kWholeWindow);
  table.must("fuse", supply.fuse);
  table.must_tolerance("uncertainty", supply.uncertainty, kTolerance);
  table.must("connector", supply.connector);
}

void read_link(TableReader& table, Board::LinkOutput& link) {
  table.must("kind", link.kind, words_for<LinkKind>());
  table.must_whole("channels_max", link.channels_max, 1, 4);
  table.must("channel_clock_max", link.channel_clock_max);
  if (link.kind == LinkKind::kEdp) {
    KilobitsPerSecond rate;
    table.must("lane_rate_max", rate);
    link.lane_rate_max = rate;
  }
  if (table.has("mapping")) {
    Mapping mapping{};
    table.must("mapping", mapping, words_for<Mapping>());
    link.mapping = mapping;
  }
  table.must("connector", link.connector);
}

void read_duty_at(TableReader& table, Board::LightOutput& light) {
  Canonical by_brightness;
  for (const TomlNode& item : table.node().items) {
    const auto brightness = parse<PartsPerMillion>(item.key);
    static_cast<void>(table.take(item.key, true));
    const auto duty = parse<PartsPerMillion>(item.text);
    if (!brightness || brightness->count > 1'000'000) {
      table.complaints().add(item.key_place, "'" + item.key + "' is no brightness from 0 % to 100 %",
                             "write such as \"50 %\" = \"40 %\"");
    } else if (!duty || duty->count > 1'000'000) {
      table.complain(item.key, "expects a duty from 0 % to 100 %, got '" + item.text + "'");
    } else if (!light.duty_at.emplace(*brightness, *duty).second) {
      table.complaints().add(item.key_place, "this brightness stands twice", "give each brightness once");
    }
  }
  std::optional<PartsPerMillion> before;
  for (const auto& [brightness, duty] : light.duty_at) {
    if (before && duty < *before) {
      table.complaints().add(table.place(), "duty falls as brightness rises, at " + to_text(brightness),
                             "give duties as for high-is-brighter");
    }
    before = duty;
    by_brightness.add(std::to_string(brightness.count), Canonical::of(duty.count));
  }
  if (!light.duty_at.contains({0}) || !light.duty_at.contains({1'000'000})) {
    table.complaints().add(table.place(), "'duty_at' must reach from 0 % to 100 %",
                           "add the brightness that is missing");
  }
  table.keep("by_brightness", std::move(by_brightness));
}

/// As duty_at, in volts; the two ends are enough for a straight line.
void read_level_at(TableReader& table, Board::LightOutput& light) {
  Canonical by_brightness;
  std::optional<Millivolts> before;
  for (const TomlNode& item : table.node().items) {
    const auto brightness = parse<PartsPerMillion>(item.key);
    Millivolts level;
    table.must(item.key, level, {.min = 0, .max = 24'000});
    if (!brightness || brightness->count > 1'000'000) {
      table.complaints().add(item.key_place, "'" + item.key + "' is no brightness from 0 % to 100 %",
                             "write such as \"50 %\" = \"1.5 V\"");
    } else if (!light.level_at.emplace(*brightness, level).second) {
      table.complaints().add(item.key_place, "this brightness stands twice", "give each brightness once");
    }
  }
  for (const auto& [brightness, level] : light.level_at) {
    if (before && level < *before) {
      table.complaints().add(table.place(),
                             "the voltage falls as brightness rises, at " + to_text(brightness),
                             "give voltages as for high-is-brighter");
    }
    before = level;
    by_brightness.add(std::to_string(brightness.count), Canonical::of(level.count));
  }
  if (!light.level_at.contains({0}) || !light.level_at.contains({1'000'000})) {
    table.complaints().add(table.place(), "'level_at' must reach from 0 % to 100 %",
                           "add the brightness that is missing");
  }
  table.keep("by_brightness", std::move(by_brightness));
}

void read_light(TableReader& table, Board::LightOutput& light) {
  table.may("enable_high", light.enable_high);
  table.must_tolerance("enable_tolerance", light.enable_tolerance, kTolerance);
  if (table.has("sense")) {
    DimmingSense sense{};
    table.must("sense", sense, words_for<DimmingSense>());
    light.sense = sense;
  }
  table.must("pwm", light.pwm);
  table.must("pwm_range", light.pwm_range, kWholeWindow);
  table.must_table("duty_at", [&](TableReader& duty_at) { read_duty_at(duty_at, light); });
  table.may_table("level_at", [&](TableReader& level_at) { read_level_at(level_at, light); });
  table.must_tolerance("frequency_uncertainty", light.frequency_uncertainty, kTolerance);
  table.must_tolerance("duty_uncertainty", light.duty_uncertainty, kTolerance);
  table.must_tolerance("enable_uncertainty", light.enable_uncertainty, kFromZero);
  if (table.has("level_at")) table.must_tolerance("level_uncertainty", light.level_uncertainty, kFromZero);
  table.may("pwm_clock", light.pwm_clock);
  table.must("connector", light.connector);
  if (light.pwm_range.min && !light.pwm_range.contains(light.pwm) && light.pwm.count != 0) {
    table.complain("pwm", "is " + to_text(light.pwm) + ", outside pwm_range");
  }
}

void read_sequence(TableReader& table, Board::Sequence& sequence) {
  constexpr Rules kIntervals{.min = 0, .needs = Needs::kWindow};
  table.must("supply_rise", sequence.supply_rise, kIntervals);
  table.must("supply_to_signal", sequence.supply_to_signal, kIntervals);
  table.must("signal_to_light", sequence.signal_to_light, kIntervals);
  table.must("light_to_no_signal", sequence.light_to_no_signal, kIntervals);
  table.must("rest", sequence.rest, kIntervals);
  table.must("resolution", sequence.resolution);
  std::string at_loss;
  table.must_one_of("at_loss", at_loss, kAtLoss);
  sequence.keeps_at_loss = at_loss == kAtLoss.front();
}

/// "loaded", "none", or a list of timings.
void read_edid(TableReader& table, VideoInput& input) {
  if (!table.has("edid")) return;
  input.edid_place = table.place_of("edid");
  for (auto& [text, place] : table.texts("edid", false)) input.edid_timings.push_back(std::move(text));
  if (input.edid_timings.empty()) return;
  const std::string& word = input.edid_timings.front();
  if (input.edid_timings.size() > 1 || (word != "loaded" && word != "none")) {
    input.edid = EdidOrigin::kFixed;
    if (input.edid_timings.size() > kEdidTimingsMax) {
      table.complain("edid", "lists " + std::to_string(input.edid_timings.size()) + " timings",
                     "an EDID's first block has room for two beside name and limits");
    }
    return;
  }
  input.edid = word == "none" ? EdidOrigin::kNone : EdidOrigin::kLoaded;
  input.edid_timings.clear();
}

void read_input(TableReader& table, VideoInput& input) {
  table.must_id("id", input.id);
  table.must_one_of("kind", input.kind, kInputKinds);
  table.must("pixel_clock_max", input.pixel_clock_max);
  table.must("connector", input.connector);
  read_edid(table, input);
}

void read_lists(TableReader& table, Board& board) {
  table.must_tables("rail", [&](TableReader& reader) {
    Rail rail;
    read_rail(reader, rail);
    if (board.rail(rail.id) != nullptr && reader.has("id")) {
      reader.complain("id", "'" + std::string(word_for(rail.id)) + "' is listed twice",
                      "describe each rail once");
    }
    board.rails.push_back(std::move(rail));
  });
  table.must_tables("input", [&](TableReader& reader) {
    VideoInput input;
    read_input(reader, input);
    const auto same = [&](const VideoInput& other) { return other.id == input.id; };
    if (!input.id.empty() && std::any_of(board.inputs.begin(), board.inputs.end(), same)) {
      reader.complain("id", "'" + input.id + "' is listed twice", "give each input its own id");
    }
    board.inputs.push_back(std::move(input));
  });
}

}  // namespace

Loaded<FromFile<Board>> read_board(const SourceFile& file) {
  return read_part<Board>(file, [&](TableReader& table, Board& board) {
    read_about(table, file, board.about);
    table.must_pair("size", 'x', board.size.width, board.size.height, {.min = 1});
    table.must("own_power", board.own_power);
    table.must("efficiency", board.efficiency, {.min = 10'000, .max = 1'000'000});
    table.may("message_for", board.message_for, kMessageFor);
    table.must_table("input_supply", [&](TableReader& in) { read_input_supply(in, board.input_supply); });
    table.must_table("service", [&](TableReader& service) { read_service(service, board.service); });
    table.must_table("link", [&](TableReader& link) { read_link(link, board.link); });
    table.must_table("light", [&](TableReader& light) { read_light(light, board.light); });
    Board::Sequence sequence;
    if (table.may_table("sequence", [&](TableReader& reader) { read_sequence(reader, sequence); })) {
      board.sequence = sequence;
    }
    read_lists(table, board);
    read_connectors(table, board.connectors);
    read_straps(table, board.straps);
    read_functions(table, board);
    read_points(table, board);
    read_registers(table, board);
    check_board(table, board);
  });
}

}  // namespace host::model
