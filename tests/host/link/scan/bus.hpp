#pragma once

#include <algorithm>
#include <cstdint>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "host/link/memory_port.hpp"
#include "host/link/scan/scan.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/reading.hpp"
#include "protocol/rtu/frame.hpp"
#include "protocol/session/answer.hpp"

/// A bus in memory that a search is let loose on.
namespace tests::host::link::scan {

using namespace ::host::link;
using namespace ::host::link::scan;
using protocol::base::Instant;
using protocol::base::milliseconds;
using protocol::base::Octets;
namespace points = protocol::points;
using Bytes = std::vector<std::uint8_t>;

inline const LineSettings kLine{19200, Parity::kEven, 1};

/// A board that says who it is, and nothing else.
class Board final : public protocol::session::Device {
 public:
  using Exception = protocol::pdu::ExceptionCode;
  explicit Board(std::string serial) : serial_{std::move(serial)} {}

  Exception read_registers(protocol::session::Table, std::uint16_t address,
                           protocol::base::WordSink words) override {
    std::vector<std::uint16_t> text(register_count(points::layout(points::Point::kIdentitySerial).type));
    (void)points::encode_text(points::Point::kIdentitySerial, serial_, text);
    const std::uint16_t first = points::layout(points::Point::kIdentitySerial).address;
    if (address < first || address + words.size() > first + text.size())
      return Exception::kIllegalDataAddress;
    for (std::size_t i = 0; i < words.size(); ++i) words.set(i, text[address - first + i]);
    return Exception::kNone;
  }
  Exception write_registers(std::uint16_t, protocol::base::Words) override {
    ++writes;
    return Exception::kNone;
  }
  protocol::session::Object identification(std::uint8_t id) override {
    if (id == 0) return {true, "Hedgerow Works"};
    if (id == 1) return {true, "alder"};
    if (id == 0x80) return {true, "strapline"};
    return {};
  }

  int writes = 0;

 private:
  std::string serial_;
};

/// A port that is handed on, and stays open when it is closed.
class LentPort : public Port {
 public:
  explicit LentPort(Port& port) : port_{port} {}
  [[nodiscard]] const std::string& name() const override { return port_.name(); }
  [[nodiscard]] Instant now() const override { return port_.now(); }
  void set_listener(PortListener* listener) override { port_.set_listener(listener); }
  [[nodiscard]] Result<void> send(Octets octets) override { return port_.send(octets); }
  void wake_at(Instant at) override { port_.wake_at(at); }
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override { return port_.run_one(cancel); }
  void close() override {}

 private:
  Port& port_;
};

/// One whose driver counts.
class CountingPort final : public LentPort {
 public:
  using LentPort::LentPort;
  [[nodiscard]] Result<void> send(Octets octets) override {
    ++counters_.framing;
    return LentPort::send(octets);
  }
  [[nodiscard]] std::optional<LineCounters> line_counters() const override { return counters_; }

 private:
  LineCounters counters_;
};

/// Units on one bus in memory. Those of one address answer at once, or `lag` octets one behind the other:
/// where they talk over each other every octet is the AND of all, as drivers that pull a line low have it.
struct Bus {
  Bus() : port{kLine} {
    port.set_hearer([this](Octets octets, bool damaged, Instant now) {
      if (damaged) return;
      functions.insert(octets[1]);
      asked.insert(octets[0]);
      Bytes together;
      std::size_t begin = 0;
      for (auto& [address, board] : boards) {
        if (address != octets[0] || !protocol::rtu::crc_holds(octets)) continue;
        const auto pdu = protocol::session::answer(protocol::rtu::pdu_of(octets), *board);
        const auto adu = protocol::rtu::seal(address, pdu.octets());
        begin = std::min(begin, together.size());
        together.resize(std::max(together.size(), begin + adu.octets().size()), 0xFF);
        for (std::size_t i = 0; i < adu.octets().size(); ++i) together[begin + i] &= adu.octets()[i];
        begin += lag;
      }
      if (!together.empty()) port.deliver(together, now + milliseconds(4));
    });
  }

  void add(std::uint8_t address, const std::string& serial) {
    boards.emplace_back(address, std::make_unique<Board>(serial));
  }

  ScanResult scan(std::uint8_t first, std::uint8_t last, bool own = true, bool share = false,
                  Instant deadline = Instant{milliseconds(600'000)}) {
    ScanOptions options;
    options.first_address = first;
    options.last_address = last;
    options.share = share;
    const auto opener = [this, own](const LineSettings& line) -> Result<Transport> {
      Transport way;
      way.line = line;
      way.own = own;
      way.port = std::make_unique<LentPort>(port);
      if (counts) way.port = std::make_unique<CountingPort>(port);
      return way;
    };
    return scan_with({kLine}, opener, options, Deadline{deadline}, stop);
  }

  // The same line at each of `settings`, as a port that is opened anew for each.
  ScanResult scan_at(const std::vector<LineSettings>& settings) {
    const auto opener = [this](const LineSettings& line) -> Result<Transport> {
      port.set_near(line);
      Transport way;
      way.line = line;
      way.own = way.is_serial = true;
      way.port = std::make_unique<LentPort>(port);
      return way;
    };
    return scan_with(settings, opener, ScanOptions{}, Deadline{Instant{milliseconds(3'600'000)}}, stop);
  }

  std::size_t lag = 0;
  bool counts = false;
  CancelToken stop;
  MemoryPort port;
  std::vector<std::pair<std::uint8_t, std::unique_ptr<Board>>> boards;
  std::set<std::uint8_t> functions, asked;
};

}  // namespace tests::host::link::scan
