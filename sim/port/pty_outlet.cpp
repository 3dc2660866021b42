#include "sim/port/outlet.hpp"
#include "sim/port/pseudo_terminal.hpp"
#include "sim/port/terminal_speed.hpp"

namespace sim::port {
namespace {

constexpr int kCantCreate = 73;
// A real port holds this much; who sends more waits, as with a slow line.
constexpr std::size_t kBacklogMax = 4'096;

class PtyOutlet final : public Outlet {
 public:
  PtyOutlet(std::unique_ptr<PseudoTerminal> terminal, std::string link, const OutletSetup& setup)
      : loop_{setup.loop},
        now_{setup.now},
        terminal_{std::move(terminal)},
        link_{std::move(link)},
        line_{setup.bus, setup.seats} {
    loop_.watch(terminal_->clients_fd(), Loop::Wish::kRead, [this] { clients(); });
    loop_.watch(terminal_->octets_fd(), Loop::Wish::kRead, [this] { octets(); });
  }
  ~PtyOutlet() override {
    loop_.forget(terminal_->clients_fd());
    loop_.forget(terminal_->octets_fd());
  }

  [[nodiscard]] std::string name() const override { return link_; }

  void go_on() override {
    const auto now = now_();
    line_.bus().run(now);
    const auto octets = take_for_host(line_.bus(), now, counts_);
    if (!octets.empty()) terminal_->write(octets);
    if (line_.bus().backlog() < kBacklogMax) loop_.change(terminal_->octets_fd(), Loop::Wish::kRead);
  }

  [[nodiscard]] std::optional<protocol::base::Instant> next() const override { return line_.bus().next(); }
  void sync() override { line_.sync(); }

  [[nodiscard]] OutletCounts counts() const override {
    OutletCounts all = counts_;
    add(all, counts_of(line_.bus()));
    return all;
  }

 private:
  // Before the octets: what a client that has gone left half said must not be joined with the next one's.
  void clients() {
    if (terminal_->last_client_gone()) line_.bus().host_gone();
  }

  void octets() {
    clients();
    const auto octets = terminal_->read(kBacklogMax);
    if (octets.empty()) return;
    const line::Wire& wire = line_.bus().wire();
    if (wire.paced) {
      if (const auto baud = terminal_speed(terminal_->far_fd())) {
        line_.bus().set_host({*baud, wire.unit.parity, wire.unit.stop_bits});
      }
    }
    line_.bus().from_host(octets, now_());
    if (line_.bus().backlog() >= kBacklogMax) loop_.change(terminal_->octets_fd(), Loop::Wish::kNothing);
    go_on();
  }

  Loop& loop_;
  Now now_;
  std::unique_ptr<PseudoTerminal> terminal_;
  std::string link_;
  SeatBus line_;
  OutletCounts counts_;
};

}  // namespace

MadeOutlet make_pty_outlet(const std::string& link, const OutletSetup& setup) {
  auto terminal = PseudoTerminal::make(link);
  if (!terminal) return tl::unexpected(Ending{kCantCreate, "strapline-sim: " + terminal.error() + "\n"});
  if (setup.remove_folder) (*terminal)->remove_folder_too();
  return std::make_unique<PtyOutlet>(*std::move(terminal), link, setup);
}

}  // namespace sim::port
