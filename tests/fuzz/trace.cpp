#include <array>
#include <optional>
#include <vector>

#include "host/link/trace/explain.hpp"
#include "host/link/trace/packet.hpp"
#include "host/link/trace/preamble.hpp"
#include "host/link/trace/reader.hpp"
#include "host/link/trace/writer.hpp"
#include "host/report/document.hpp"
#include "tests/fuzz/memory_file.hpp"
#include "tests/fuzz/promises.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

using host::link::trace::Carrier;
using host::link::trace::Explainer;
using host::link::trace::PacketMaker;
using host::link::trace::Preamble;
using host::link::trace::Reader;
using host::link::trace::Record;
using host::link::trace::Writer;
using protocol::base::Instant;
using protocol::base::milliseconds;

struct Heard {
  std::vector<Record> records;
  std::optional<Preamble> preamble;
  std::optional<Carrier> carrier;
  bool whole = false;
};

Heard read(const std::string& path, std::size_t records_max) {
  Heard heard;
  const auto reader = Reader::open(path);
  if (!reader) {
    must(!reader.error().message.empty(), "who refuses a trace says why");
    return heard;
  }
  heard.preamble = (*reader)->preamble();
  heard.carrier = (*reader)->carrier();
  for (;;) {
    auto next = (*reader)->next();
    if (!next) {
      must(!next.error().message.empty(), "who refuses a block says why");
      return heard;
    }
    heard.whole = !*next;
    if (heard.whole) return heard;
    must(heard.records.size() < records_max, "a trace holds no more records than octets for them");
    heard.records.push_back(*std::move(*next));
  }
}

void hold_record(const Record& record, Carrier carrier) {
  must(record.octets.size() <= host::link::trace::kRecordSizeMax, "a record has its bound");
  must(record.first_us <= record.at_us, "a record's first octet is no later than its last");
  // In a TCP stream a damaged octet is nothing, and a lost port has to be the unit's.
  if (carrier == Carrier::kMbap && record.kind == Record::Kind::kDamaged) return;
  PacketMaker maker{carrier};
  const auto again =
      host::link::trace::record_of(host::link::trace::link_type(carrier), maker.packet(record), record.at_us);
  must(again && again->kind == record.kind && again->octets == record.octets && again->at_us == record.at_us,
       "a record written is read back");
}

// Written down as it would have been heard, and read again: every octet of either side, in its order.
void hold_writing(const std::vector<Record>& records, const Preamble& preamble) {
  std::array<std::vector<std::uint8_t>, 2> said;
  const MemoryFile file{{}};
  auto writer = Writer::create(file.path());
  must(writer.has_value(), "a trace can be made");
  (*writer)->begin(preamble, 0, Instant{});
  Instant now{};
  for (const Record& record : records) {
    now += milliseconds(3);
    if (record.kind == Record::Kind::kSent) (*writer)->sent(record.octets, now);
    if (record.kind == Record::Kind::kReceived) (*writer)->received(record.octets, now);
    if (record.kind == Record::Kind::kDamaged) {
      const auto octet = record.octets.empty() ? std::nullopt : std::optional{record.octets.front()};
      (*writer)->damaged(now, octet, record.parity);
    }
    auto& side = said.at(record.kind == Record::Kind::kSent ? 0 : 1);
    side.insert(side.end(), record.octets.begin(), record.octets.end());
  }
  must((*writer)->close().has_value(), "a trace can be written");
  const Heard again = read(file.path(), static_cast<std::size_t>(-1));
  must(again.whole && again.preamble == preamble, "a trace written is whole and says whose it is");
  std::array<std::vector<std::uint8_t>, 2> heard;
  for (const Record& record : again.records) {
    auto& side = heard.at(record.kind == Record::Kind::kSent ? 0 : 1);
    side.insert(side.end(), record.octets.begin(), record.octets.end());
  }
  must(heard == said, "no octet is lost between writing and reading");
}

}  // namespace

void trace(Octets input) {
  constexpr std::size_t kPacketBlockMin = 32;
  const MemoryFile file{input};
  const Heard heard = read(file.path(), input.size() / kPacketBlockMin + 1);
  if (heard.preamble) {
    must(host::link::trace::preamble_of(to_text(*heard.preamble)) == heard.preamble,
         "a preamble is read back");
  }
  if (heard.records.empty() || !heard.carrier) return;
  Explainer explainer{*heard.carrier};
  for (const Record& record : heard.records) {
    const auto meaning = explainer.explain(record);
    must(is_one_clean_line(host::report::cleaned(meaning.text)),
         "what a record means can be shown in one clean line");
    for (const auto& point : meaning.points) (void)to_text(point);
    hold_record(record, *heard.carrier);
  }
  Preamble preamble = heard.preamble.value_or(Preamble{});
  preamble.carrier = *heard.carrier;
  if (*heard.carrier == Carrier::kRtu) hold_writing(heard.records, preamble);
}

}  // namespace tests::fuzz
