#include "host/link/traced_port.hpp"

#include <array>
#include <memory>
#include <vector>

#include <doctest/doctest.h>
#include <fcntl.h>
#include <unistd.h>

#include "host/link/endpoint.hpp"
#include "host/link/stream_port.hpp"
#include "host/link/trace/reader.hpp"
#include "host/link/trace/writer.hpp"
#include "tests/support/run_program.hpp"

using namespace host::link;
using Bytes = std::vector<std::uint8_t>;

namespace {

// A terminal that marks, whose driver has counted what the test says.
class Marking final : public Endpoint {
 public:
  Marking(int fd, std::optional<LineCounters> counted) : fd_{fd}, counted_{counted} {}
  ~Marking() override { Marking::close(); }

  [[nodiscard]] int fd() const override { return fd_; }
  [[nodiscard]] protocol::base::Duration read_patience() const override { return {}; }
  [[nodiscard]] const std::string& name() const override { return name_; }
  [[nodiscard]] ssize_t write(protocol::base::Octets octets) override {
    return static_cast<ssize_t>(octets.size());
  }
  [[nodiscard]] const ParityMarks::Sound& sound(protocol::base::Octets octets) override {
    return marks_.decode(octets);
  }
  [[nodiscard]] std::string_view remedy_when_gone() const override { return ""; }
  [[nodiscard]] std::optional<LineCounters> line_counters() const override { return counted_; }
  void close() override {
    if (fd_ >= 0) (void)::close(fd_);
    fd_ = -1;
  }

 private:
  int fd_;
  std::optional<LineCounters> counted_;
  std::string name_ = "a pipe";
  ParityMarks marks_;
};

std::vector<trace::Record> traced_of(const Bytes& raw, std::optional<LineCounters> counted) {
  std::array<int, 2> ends{};
  REQUIRE(::pipe2(ends.data(), O_CLOEXEC | O_NONBLOCK) == 0);
  REQUIRE(::write(ends[1], raw.data(), raw.size()) == static_cast<ssize_t>(raw.size()));
  const tests::support::TemporaryFolder folder;
  const std::string path = folder.path() + "/t.pcapng";
  const auto writer = trace::Writer::create(path);
  REQUIRE(writer.has_value());
  (*writer)->begin({}, 0, monotonic_now());
  const auto port =
      traced(std::make_unique<StreamPort>(std::make_unique<Marking>(ends[0], counted)), **writer);
  const CancelToken never;
  REQUIRE(port->run_one(never).has_value());
  port->close();
  (void)::close(ends[1]);
  REQUIRE((*writer)->close().has_value());
  const auto reader = trace::Reader::open(path);
  REQUIRE(reader.has_value());
  std::vector<trace::Record> records;
  for (auto next = (*reader)->next(); next && *next; next = (*reader)->next()) records.push_back(**next);
  return records;
}

}  // namespace

TEST_SUITE("host/link/traced_port") {
  TEST_CASE("an octet that came damaged stands in the trace as it came, at its place") {
    const auto records = traced_of({0x01, 0xFF, 0x00, 0x41, 0x03, 0xFF, 0x00, 0x42}, {});
    REQUIRE(records.size() == 4);
    CHECK(records[0].octets == Bytes{0x01});
    CHECK(records[1].kind == trace::Record::Kind::kDamaged);
    CHECK(records[1].octets == Bytes{0x41});
    CHECK(records[2].octets == Bytes{0x03});
    CHECK(records[3].octets == Bytes{0x42});
    // A mark alone doesn't tell which it was.
    CHECK_FALSE(records[1].parity);
  }

  TEST_CASE("damage is of parity where the driver has counted nothing else") {
    const Bytes marked{0xFF, 0x00, 0x41};
    const auto is_parity = [&](const LineCounters& counted) {
      const auto records = traced_of(marked, counted);
      return records.size() == 1 && records[0].parity;
    };
    CHECK(is_parity({1, 0, 0, 0}));
    CHECK(is_parity({1, 0, 7, 0}));
    CHECK_FALSE(is_parity({1, 1, 0, 0}));
    CHECK_FALSE(is_parity({1, 0, 0, 1}));
    CHECK_FALSE(is_parity({0, 0, 0, 0}));
  }
}
