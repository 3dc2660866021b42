#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "sim/port/listener.hpp"
#include "sim/port/outlet.hpp"

namespace sim::port {

/// One TCP client. It reads what a client sends a piece at a time, so that one that floods lets the others
/// have their turn, and never keeps what a client doesn't take: that client is dropped.
class Client {
 public:
  /// `asker` is its number: no other client of the port has had it.
  Client(int fd, unit::Asker asker, const OutletSetup& setup);
  virtual ~Client();
  Client(const Client&) = delete;
  Client& operator=(const Client&) = delete;

  /// Octets are there, or the client has gone: read() tells.
  virtual void ready() = 0;
  virtual void go_on(protocol::base::Instant now) = 0;
  [[nodiscard]] virtual std::optional<protocol::base::Instant> next() const = 0;
  virtual void sync() {}
  [[nodiscard]] virtual OutletCounts counts() const = 0;

  [[nodiscard]] unit::Asker asker() const { return asker_; }
  [[nodiscard]] bool gone() const { return gone_; }
  [[nodiscard]] bool dropped() const { return dropped_; }
  /// When it last said something or was answered; at first, when it came.
  [[nodiscard]] protocol::base::Instant active_at() const { return active_at_; }
  /// Whether it is being answered, was active just now, or has said something that is still to be read.
  [[nodiscard]] bool busy() const;
  /// It is done with: to be taken away.
  void leave() { gone_ = true; }

  /// For so long nobody who was active is idle.
  static constexpr auto kJustNow = protocol::base::milliseconds(1'000);

 protected:
  [[nodiscard]] protocol::base::Instant clock() const { return now_(); }
  /// What is there, without waiting; empty also when the client has gone.
  [[nodiscard]] std::vector<std::uint8_t> read();
  void write(std::span<const std::uint8_t> octets);
  /// Whether more is wanted of this client for now. Its end is noticed either way.
  void want(bool more);

 private:
  int fd_;
  unit::Asker asker_;
  Loop& loop_;
  Now now_;
  protocol::base::Instant active_at_;
  bool gone_ = false;
  bool dropped_ = false;
};

/// A listener and its clients.
class ClientsOutlet final : public Outlet {
 public:
  using MakeClient = std::function<std::unique_ptr<Client>(int fd, unit::Asker asker)>;

  /// `scheme` is "tcp" or "mbtcp".
  [[nodiscard]] static MadeOutlet make(const std::string& scheme, const std::string& where,
                                       const OutletSetup& setup, MakeClient make_client);

  [[nodiscard]] std::string name() const override { return scheme_ + "://" + listener_->address(); }
  void go_on() override;
  [[nodiscard]] std::optional<protocol::base::Instant> next() const override;
  void sync() override;
  [[nodiscard]] OutletCounts counts() const override;

  /// Where there are as many, the one that has been idle for longest gives way to the next; if none is idle,
  /// that one is turned away at once.
  static constexpr std::size_t kClientsMax = 32;

 private:
  explicit ClientsOutlet(std::string scheme, const OutletSetup& setup, MakeClient make_client)
      : scheme_{std::move(scheme)},
        seats_{setup.seats},
        now_{setup.now},
        make_client_{std::move(make_client)} {}
  void take(int fd);
  void take_away_gone();
  void let_idle_give_way();

  std::string scheme_;
  const Seats& seats_;
  Now now_;
  MakeClient make_client_;
  std::unique_ptr<Listener> listener_;
  std::vector<std::unique_ptr<Client>> clients_;
  unit::Asker taken_ = 0;
  OutletCounts past_;  // of clients that have gone
};

}  // namespace sim::port
