#include "sim/unit/registers.hpp"

#include <algorithm>
#include <optional>

#include "protocol/points/layout.hpp"
#include "protocol/rtu/crc.hpp"
#include "sim/unit/written.hpp"

namespace sim::unit {
namespace {

namespace points = protocol::points;
using points::Point;
using protocol::pdu::ExceptionCode;
using protocol::session::Table;

constexpr std::uint16_t kNobody = 0xFFFF;
constexpr std::uint16_t kWordMax = 0xFFFC;  // above it a word means that there is no value
constexpr std::uint8_t kOwnObjects = 0x80;
constexpr std::size_t kBasicObjects = 3;

points::Table table_of(Table table) {
  return table == Table::kHolding ? points::Table::kHolding : points::Table::kInput;
}

// The point that holds this register, or none.
std::optional<Point> point_at(Table table, std::uint16_t address) {
  const auto layouts = points::layouts();
  for (std::size_t i = 0; i < layouts.size(); ++i) {
    const points::Layout& layout = layouts[i];
    if (layout.table != table_of(table) || address < layout.address) continue;
    if (address - layout.address < points::register_count(layout.type)) return static_cast<Point>(i);
  }
  return std::nullopt;
}

bool in_block(Table table, std::uint32_t address) {
  return std::ranges::any_of(points::layouts(), [&](const points::Layout& layout) {
    return layout.table == table_of(table) &&
           layout.address / points::kGroupSpan == address / points::kGroupSpan;
  });
}

bool in_image(std::uint32_t address) {
  return address >= points::kImageAddress &&
         address < std::uint32_t{points::kImageAddress} + points::image_size();
}

std::string hexadecimal(std::uint16_t word) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  std::string text;
  for (int shift = 12; shift >= 0; shift -= 4)
    text += kDigits[static_cast<std::size_t>(word >> shift) & 0xFU];
  return text;
}

}  // namespace

std::uint16_t layout_crc(std::uint8_t minor) {
  std::vector<std::uint8_t> octets;
  for (const points::Layout& layout : points::layouts().first(points::kPointsByMinor.at(minor))) {
    const auto eight = points::octets(layout);
    octets.insert(octets.end(), eight.begin(), eight.end());
  }
  return protocol::rtu::crc16(octets);
}

namespace {

// Of each minor version up to ours.
std::string layout_crcs() {
  std::string text;
  for (std::uint8_t minor = 0; minor <= points::kProfileMinor; ++minor) {
    text += (minor == 0 ? "" : " ") + hexadecimal(layout_crc(minor));
  }
  return text;
}

}  // namespace

Registers::Registers(Unit& unit) : unit_{unit} {
  const host::model::About& board = unit.kit().board.about;
  objects_ = {"strapline simulated unit",
              board.id,
              "0.1.0",
              "strapline",
              std::to_string(points::kProfileMajor) + "." + std::to_string(points::kProfileMinor),
              "0000",
              layout_crcs(),
              board.id};
}

ExceptionCode Registers::read_registers(Table table, std::uint16_t address, protocol::base::WordSink words) {
  heard();
  const std::uint32_t end = std::uint32_t{address} + static_cast<std::uint32_t>(words.size());
  if (table == Table::kInput && in_image(address)) {
    if (!in_image(end - 1)) return ExceptionCode::kIllegalDataAddress;
    if (image_.empty()) return ExceptionCode::kServerDeviceFailure;
    const std::size_t first = address - points::kImageAddress;
    for (std::size_t i = 0; i < words.size(); ++i) words.set(i, image_[first + i]);
    return ExceptionCode::kNone;
  }
  for (std::uint32_t at = address; at < end; ++at) {
    if (!in_block(table, at)) return ExceptionCode::kIllegalDataAddress;
  }
  for (std::size_t i = 0; i < words.size(); ++i) {
    words.set(i, live(table, static_cast<std::uint16_t>(address + i)));
  }
  return ExceptionCode::kNone;
}

std::uint16_t Registers::live(Table table, std::uint16_t address) const {
  const auto point = point_at(table, address);
  if (!point) return 0;
  std::array<std::uint16_t, 16> registers{};
  encode(*point, registers);
  return registers[address - points::layout(*point).address];
}

void Registers::encode(Point point, std::span<std::uint16_t> registers) const {
  Value value = unit_.value(point);
  if (point == Point::kSnapshotGeneration) value = std::int64_t{generation_};
  if (point == Point::kSettingsArm) {
    value = std::int64_t{arming_word()};
  }
  if (point == Point::kSnapshotOwner || point == Point::kSnapshotLatch) value = std::int64_t{owner_};
  if (const auto* why = std::get_if<points::Unread>(&value)) {
    points::encode_unread(point, *why, registers);
  } else if (const auto* text = std::get_if<std::string>(&value)) {
    (void)points::encode_text(point, *text, registers);
  } else if (!points::encode(point, std::get<std::int64_t>(value), registers)) {
    points::encode_unread(point, points::Unread::kNotFitted, registers);  // beyond what the register can say
  }
}

void Registers::latch(std::uint16_t owner) {
  owner_ = owner;
  generation_ = generation_ >= kWordMax ? std::uint16_t{1} : static_cast<std::uint16_t>(generation_ + 1);
  image_.assign(points::image_size(), 0);
  for (std::size_t i = 0; i < points::kPointCount; ++i) {
    const auto point = static_cast<Point>(i);
    const points::Layout& layout = points::layout(point);
    if (layout.image == points::kNotInImage) continue;
    encode(point, std::span{image_}.subspan(layout.image));
  }
}

void Registers::heard() {
  const auto arming = armings_.find(asker_);
  if (arming != armings_.end()) arming->second.heard(unit_.firmware().memory().boot, unit_.now());
}

std::uint16_t Registers::arming_word() const {
  const auto arming = armings_.find(asker_);
  if (arming == armings_.end()) return 0;
  return arming->second.word(unit_.firmware().memory().boot, unit_.now());
}

ExceptionCode Registers::control(Point point, std::uint16_t word) {
  if (word > kWordMax) return ExceptionCode::kIllegalDataValue;
  if (point == Point::kSnapshotLatch) {
    latch(word);
    return ExceptionCode::kNone;
  }
  const bool known =
      armings_[asker_].written(word, unit_.setup().serial, unit_.firmware().memory().boot, unit_.now());
  return known ? ExceptionCode::kNone : ExceptionCode::kIllegalDataValue;
}

ExceptionCode Registers::write_registers(std::uint16_t address, protocol::base::Words words) {
  heard();
  std::optional<Point> control_point;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::size_t at = address + i;
    const auto point =
        at < kNobody ? point_at(Table::kHolding, static_cast<std::uint16_t>(at)) : std::nullopt;
    if (!point) return ExceptionCode::kIllegalDataAddress;
    if (points::layout(*point).access == points::Access::kControl) control_point = point;
  }
  if (control_point) {
    return words.size() == 1 ? control(*control_point, words[0]) : ExceptionCode::kServerDeviceFailure;
  }
  if (arming_word() == 0) return ExceptionCode::kServerDeviceFailure;
  const Memory memory = unit_.memory();
  const auto kept = with_written(unit_.kit(), {unit_.firmware().settings(), memory.stamp}, address, words);
  if (!kept) return kept.error();
  unit_.keep(kept->settings, kept->stamp);
  if (written_) written_();
  return ExceptionCode::kNone;
}

std::vector<std::uint16_t> Registers::file(std::uint16_t number) const {
  std::vector<std::uint16_t> words;
  if (number == kLogFile) {
    const Memory memory = unit_.memory();
    words.assign(kLogEntriesMax * kLogWords, 0);
    for (std::size_t i = 0; i < memory.log.size(); ++i) {
      const LogEntry& entry = memory.log[i];
      const std::size_t slot = (memory.log_written - memory.log.size() + i) % kLogEntriesMax;
      const std::array<std::uint16_t, kLogWords> five = {
          entry.boot, static_cast<std::uint16_t>(entry.uptime_s >> 16),
          static_cast<std::uint16_t>(entry.uptime_s), static_cast<std::uint16_t>(entry.code), entry.value};
      std::copy(five.begin(), five.end(), words.begin() + static_cast<std::ptrdiff_t>(slot * kLogWords));
    }
  } else if (number >= kEdidFile) {
    const auto octets = unit_.edid(static_cast<std::size_t>(number - kEdidFile));
    for (std::size_t i = 0; i + 1 < octets.size(); i += 2) {
      words.push_back(static_cast<std::uint16_t>(octets[i] << 8 | octets[i + 1]));
    }
  }
  return words;
}

ExceptionCode Registers::read_file(std::uint16_t number, std::uint16_t record,
                                   protocol::base::WordSink words) {
  heard();
  const bool log_absent = !unit_.kit().board.fitted(Point::kLogRecords);
  if (number == kLogFile && log_absent) return ExceptionCode::kIllegalDataAddress;
  const auto whole = file(number);
  if (std::size_t{record} + words.size() > whole.size()) return ExceptionCode::kIllegalDataAddress;
  for (std::size_t i = 0; i < words.size(); ++i) words.set(i, whole[record + i]);
  return ExceptionCode::kNone;
}

protocol::session::Object Registers::identification(std::uint8_t id) {
  heard();
  if (id < kBasicObjects) return {true, objects_[id]};
  const std::size_t own = kBasicObjects + id - kOwnObjects;
  if (id >= kOwnObjects && own < objects_.size()) return {true, objects_[own]};
  return {};
}

}  // namespace sim::unit
