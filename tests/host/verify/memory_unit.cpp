#include "tests/host/verify/memory_unit.hpp"

#include <algorithm>
#include <array>
#include <span>

#include "protocol/pdu/request.hpp"
#include "protocol/pdu/response.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/reading.hpp"
#include "protocol/session/answer.hpp"

namespace {

namespace points = protocol::points;
using points::Point;

std::vector<std::uint16_t> encoded(Point point, const host::verify::Snapshot& snapshot) {
  std::vector<std::uint16_t> words(points::register_count(points::layout(point).type));
  const auto* reading = host::verify::reading_of(snapshot, point);
  if (reading == nullptr) {
    encode_unread(point, points::Unread::kNotFitted, words);
  } else if (reading->kind == points::Reading::Kind::kUnread) {
    encode_unread(point, reading->unread, words);
  } else if (reading->kind == points::Reading::Kind::kText) {
    (void)encode_text(point, reading->text(), words);
  } else {
    (void)encode(point, reading->number, words);
  }
  return words;
}

}  // namespace

MemoryUnit::MemoryUnit(const host::verify::Snapshot& snapshot) : image_size{points::image_size()} {
  objects = {{0x00, "Bench"}, {0x80, "strapline"}, {0x81, "1.0"}, {0x82, "0000"}, {0x84, "willow"}};
  for (std::size_t i = 0; i < points::kPointCount; ++i) {
    const auto point = static_cast<Point>(i);
    const auto& layout = points::layout(point);
    const auto words = encoded(point, snapshot);
    for (std::size_t w = 0; w < words.size(); ++w) {
      live_[{static_cast<int>(layout.table), static_cast<std::uint16_t>(layout.address + w)}] = words[w];
    }
  }
  set(Point::kSnapshotGeneration, 41);
  set(Point::kSnapshotOwner, 0);
  set(Point::kSnapshotBoot, 3);
  set(Point::kSnapshotChanges, 9);
}

void MemoryUnit::set(Point point, std::int64_t number) {
  const auto& layout = points::layout(point);
  std::array<std::uint16_t, 2> words{};
  (void)encode(point, number, words);
  for (std::uint16_t w = 0; w < points::register_count(layout.type); ++w) {
    live_[{static_cast<int>(layout.table), static_cast<std::uint16_t>(layout.address + w)}] = words.at(w);
  }
}

void MemoryUnit::latch(std::uint16_t owner) {
  const std::pair<int, std::uint16_t> generation{4, points::layout(Point::kSnapshotGeneration).address};
  ++live_[generation];
  set(Point::kSnapshotOwner, owner);
  image_.assign(points::image_size(), 0);
  for (const points::Layout& layout : points::layouts()) {
    if (layout.image == points::kNotInImage) continue;
    for (std::uint16_t w = 0; w < points::register_count(layout.type); ++w) {
      image_.at(std::size_t{layout.image} + w) =
          live_[{static_cast<int>(layout.table), static_cast<std::uint16_t>(layout.address + w)}];
    }
  }
}

void MemoryUnit::restart() {
  ++live_[{4, points::layout(Point::kSnapshotBoot).address}];
  set(Point::kSnapshotGeneration, 0);
  set(Point::kSnapshotOwner, 0);
  image_.assign(points::image_size(), 0);
}

MemoryUnit::Exception MemoryUnit::read_registers(protocol::session::Table table, std::uint16_t address,
                                                 protocol::base::WordSink words) {
  if (before_read) before_read();
  const bool input = table == protocol::session::Table::kInput;
  if (input && address >= points::kImageAddress) {
    const std::size_t at = address - points::kImageAddress;
    if (at + words.size() > image_size || !has_latch) return Exception::kIllegalDataAddress;
    image_.resize(points::image_size());
    for (std::size_t w = 0; w < words.size(); ++w) words.set(w, image_.at(at + w));
    return Exception::kNone;
  }
  const auto group = static_cast<std::uint16_t>(address / points::kGroupSpan * points::kGroupSpan);
  if (std::find(absent_groups.begin(), absent_groups.end(), group) != absent_groups.end()) {
    return Exception::kIllegalDataAddress;
  }
  for (std::size_t w = 0; w < words.size(); ++w) {
    const auto found = live_.find({input ? 4 : 3, static_cast<std::uint16_t>(address + w)});
    words.set(w, found == live_.end() ? std::uint16_t{0} : found->second);
  }
  return Exception::kNone;
}

MemoryUnit::Exception MemoryUnit::write_registers(std::uint16_t address, protocol::base::Words words) {
  if (!has_latch || address != points::layout(Point::kSnapshotLatch).address || words.size() != 1) {
    return Exception::kIllegalDataAddress;
  }
  latch(words[0]);
  return Exception::kNone;
}

protocol::session::Object MemoryUnit::identification(std::uint8_t id) {
  const auto found = objects.find(id);
  if (found == objects.end()) return {};
  return {true, found->second};
}

std::optional<host::link::LinkError> MemoryReader::silence() {
  ++transactions;
  if (answers_left-- > 0) return std::nullopt;
  return host::link::link_error(host::link::Fault::kSilent, "no answer");
}

host::link::Result<std::vector<std::uint16_t>> MemoryReader::read(host::link::Table table,
                                                                  std::uint16_t address,
                                                                  std::uint16_t count) {
  if (auto silent = silence()) return tl::unexpected{*silent};
  reads.emplace_back(address, count);
  const auto request = table == host::link::Table::kInput
                           ? protocol::pdu::read_input_registers(address, count)
                           : protocol::pdu::read_holding_registers(address, count);
  const auto answer = protocol::session::answer(request.octets(), unit_);
  if (answer.exception() != protocol::pdu::ExceptionCode::kNone) {
    auto error = host::link::link_error(host::link::Fault::kRefused, "refused");
    error.exception_code = static_cast<std::uint8_t>(answer.exception());
    return tl::unexpected{error};
  }
  const protocol::pdu::Response response{answer.octets()};
  std::vector<std::uint16_t> words;
  words.reserve(response.word_count());
  for (std::uint16_t i = 0; i < response.word_count(); ++i) words.push_back(response.word(i));
  return words;
}

host::link::Result<void> MemoryReader::write(std::uint16_t address, std::span<const std::uint16_t> words) {
  if (auto silent = silence()) return tl::unexpected{*silent};
  const auto request = protocol::pdu::write_single_register(address, words.front());
  const auto answer = protocol::session::answer(request.octets(), unit_);
  if (answer.exception() == protocol::pdu::ExceptionCode::kNone) return {};
  auto error = host::link::link_error(host::link::Fault::kRefused, "refused");
  error.exception_code = static_cast<std::uint8_t>(answer.exception());
  return tl::unexpected{error};
}

host::link::Result<host::link::DeviceObjects> MemoryReader::identify() {
  if (auto silent = silence()) return tl::unexpected{*silent};
  if (unit_.objects.empty()) return host::link::failure(host::link::Fault::kRefused, "refused");
  return host::link::DeviceObjects{unit_.objects.begin(), unit_.objects.end()};
}
