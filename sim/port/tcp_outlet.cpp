#include <algorithm>

#include "protocol/rtu/frame.hpp"
#include "sim/port/clients.hpp"

namespace sim::port {
namespace {

using protocol::base::Instant;
using protocol::base::milliseconds;

constexpr std::size_t kBacklogMax = 4'096;
// How long the rest of a request may be on its way: a segment is no frame.
constexpr auto kRestWait = milliseconds(50);

// RTU frames over TCP, as a serial device server has them: what a client sends is put together to requests
// and goes out on its own line.
class RtuClient final : public Client {
 public:
  RtuClient(int fd, unit::Asker asker, const OutletSetup& setup)
      : Client{fd, asker, setup}, line_{setup.bus, setup.seats, asker} {}

  void ready() override {
    const auto octets = read();
    if (gone()) return;
    const Instant now = clock();
    if (line_.bus().backlog() >= kBacklogMax) {
      leave();  // told to wait, and octets all the same: it has gone
      return;
    }
    begun_.insert(begun_.end(), octets.begin(), octets.end());
    rest_by_ = now + kRestWait;
    pass_on(now);
    if (line_.bus().backlog() >= kBacklogMax) want(false);
    go_on(now);
  }

  void go_on(Instant now) override {
    if (!begun_.empty() && rest_by_ <= now) {
      line_.bus().from_host(begun_, now);
      begun_.clear();
    }
    line_.bus().run(now);
    const auto octets = take_for_host(line_.bus(), now, counts_);
    if (!octets.empty()) write(octets);
    if (line_.bus().backlog() < kBacklogMax) want(true);
  }

  [[nodiscard]] std::optional<Instant> next() const override {
    const auto at = line_.bus().next();
    if (begun_.empty()) return at;
    return at ? std::min(*at, rest_by_) : rest_by_;
  }

  void sync() override { line_.sync(); }

  [[nodiscard]] OutletCounts counts() const override {
    OutletCounts all = counts_;
    add(all, counts_of(line_.bus()));
    return all;
  }

 private:
  // Whole requests go out; what no length can be told of goes out as it is.
  void pass_on(Instant now) {
    using Kind = protocol::pdu::Length::Kind;
    while (!begun_.empty()) {
      const auto length = protocol::rtu::request_length(begun_);
      if (length.kind == Kind::kMore || (length.kind == Kind::kKnown && length.octets > begun_.size()))
        return;
      const std::size_t size = length.kind == Kind::kKnown ? std::size_t{length.octets} : begun_.size();
      line_.bus().from_host({begun_.data(), size}, now);
      begun_.erase(begun_.begin(), begun_.begin() + static_cast<std::ptrdiff_t>(size));
    }
  }

  SeatBus line_;
  std::vector<std::uint8_t> begun_;  // at most one frame and one piece
  Instant rest_by_{};
  OutletCounts counts_;
};

}  // namespace

MadeOutlet make_tcp_outlet(const std::string& where, const OutletSetup& setup) {
  return ClientsOutlet::make("tcp", where, setup, [setup](int fd, unit::Asker asker) {
    return std::make_unique<RtuClient>(fd, asker, setup);
  });
}

}  // namespace sim::port
