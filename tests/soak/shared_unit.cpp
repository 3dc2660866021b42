#include "tests/soak/shared_unit.hpp"

#include <algorithm>
#include <array>

#include "protocol/pdu/function.hpp"
#include "protocol/points/layout.hpp"

namespace tests::soak {

namespace {

namespace points = protocol::points;

constexpr std::uint16_t kOthersOwner = 0xFF80;  // none of ours is so high

}  // namespace

SharedUnit::SharedUnit(sim::unit::Unit& unit, const Others& others, std::uint64_t seed)
    : unit_{unit}, others_{others}, dice_{seed} {
  registers_.emplace(unit_);
}

SharedUnit::Code SharedUnit::read_registers(Table table, std::uint16_t address,
                                            protocol::base::WordSink words) {
  if (others_.chance > 0 && dice_.below(0x10000) < others_.chance) disturb();
  return registers_->read_registers(table, address, words);
}

SharedUnit::Code SharedUnit::write_registers(std::uint16_t address, protocol::base::Words words) {
  const Code code = registers_->write_registers(address, words);
  if (code == Code::kNone) keep();
  return code;
}

void SharedUnit::disturb() {
  unit_.move_strap(others_.strap, dice_.below(2) == 0 ? others_.one : others_.other);
  if (dice_.below(4) == 0) {
    unit_.reset();
    unit_.advance(unit_.now() + protocol::base::milliseconds(10'000));
    registers_.emplace(unit_);
  }
  const std::array<std::uint8_t, 2> owner{kOthersOwner >> 8, kOthersOwner & 0xFF};
  (void)registers_->write_registers(points::layout(points::Point::kSnapshotLatch).address, {owner.data(), 1});
}

// The image as it stands now, by its own generation and owner.
void SharedUnit::keep() {
  std::vector<std::uint8_t> octets(2 * points::image_size());
  std::vector<std::uint16_t> image;
  image.reserve(points::image_size());
  for (std::size_t at = 0; at < points::image_size(); at += protocol::pdu::kReadRegistersMax) {
    const std::size_t count =
        std::min<std::size_t>(protocol::pdu::kReadRegistersMax, points::image_size() - at);
    if (registers_->read_registers(Table::kInput, static_cast<std::uint16_t>(points::kImageAddress + at),
                                   {octets.data(), count}) != Code::kNone) {
      return;
    }
    const protocol::base::Words words{octets.data(), count};
    for (std::size_t i = 0; i < count; ++i) image.push_back(words[i]);
  }
  const std::size_t mark = points::layout(points::Point::kSnapshotGeneration).image;
  const std::pair key{image[mark], image[mark + 1]};
  latched_[key] = std::move(image);
}

const std::vector<std::uint16_t>* SharedUnit::latched(std::uint16_t generation, std::uint16_t owner) const {
  const auto found = latched_.find({generation, owner});
  return found == latched_.end() ? nullptr : &found->second;
}

}  // namespace tests::soak
