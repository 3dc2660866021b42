#include "tests/soak/wire_reader.hpp"

#include <string>

#include "protocol/base/words.hpp"

namespace tests::soak {

namespace {

host::link::LinkError explained(const protocol::session::Failure& failure) {
  if (failure.kind != protocol::session::FailureKind::kException) {
    return host::link::link_error(host::link::Fault::kSilent, "no answer");
  }
  auto error = host::link::link_error(host::link::Fault::kRefused, "refused");
  error.exception_code = static_cast<std::uint8_t>(failure.exception);
  return error;
}

}  // namespace

host::link::Result<std::vector<std::uint16_t>> WireReader::read(host::link::Table table,
                                                                std::uint16_t address, std::uint16_t count) {
  const auto& outcome =
      talk_.ask(table == host::link::Table::kInput ? protocol::pdu::read_input_registers(address, count)
                                                   : protocol::pdu::read_holding_registers(address, count),
                now_);
  if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
  std::vector<std::uint16_t> words(outcome.value().word_count());
  for (std::size_t i = 0; i < words.size(); ++i) {
    words[i] = outcome.value().word(static_cast<std::uint16_t>(i));
  }
  return words;
}

host::link::Result<void> WireReader::write(std::uint16_t address, std::span<const std::uint16_t> words) {
  const auto& outcome = talk_.ask(protocol::pdu::write_single_register(address, words.front()), now_);
  if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
  return {};
}

host::link::Result<host::link::DeviceObjects> WireReader::identify() {
  host::link::DeviceObjects objects;
  std::uint8_t from = 0;
  for (int pages = 0; pages < 8; ++pages) {
    const auto& outcome = talk_.ask(
        protocol::pdu::read_device_identification(protocol::pdu::ReadDeviceId::kExtended, from), now_);
    if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
    const auto page = outcome.value().identification();
    for (std::uint8_t i = 0; i < page.count(); ++i) {
      objects.emplace(page.object(i).id, std::string{page.object(i).text});
    }
    if (!page.more_follows()) break;
    from = page.next_object();
  }
  return objects;
}

host::link::Result<std::vector<std::uint16_t>> WireReader::read_files(
    std::span<const protocol::pdu::FileRecord> groups) {
  const auto& outcome = talk_.ask(protocol::pdu::read_file_records(groups), now_);
  if (!outcome.ok()) return tl::unexpected{explained(outcome.error())};
  const Octets octets = outcome.value().octets();
  std::vector<std::uint16_t> words;
  words.reserve(octets.size() / 2);
  std::size_t at = 2;
  for (const auto& group : groups) {
    at += 2;  // its length and the reference type
    for (std::uint16_t i = 0; i < group.count; ++i, at += 2)
      words.push_back(protocol::base::read_be16(octets, at));
  }
  return words;
}

host::link::plan::LineCost WireReader::line_cost() const {
  const auto& counts = talk_.statistics();
  return {kLine, client_settings(0).turnaround_max,
          host::link::plan::damaged_per_million(counts.frames_bad, counts.octets_received)};
}

}  // namespace tests::soak
