#include "sim/port/clients.hpp"

#include <algorithm>
#include <cerrno>

#include <sys/socket.h>
#include <unistd.h>

namespace sim::port {
namespace {

constexpr std::size_t kPieceMax = 1'024;

}  // namespace

Client::Client(int fd, unit::Asker asker, const OutletSetup& setup)
    : fd_{fd}, asker_{asker}, loop_{setup.loop}, now_{setup.now}, active_at_{now_()} {
  loop_.watch(fd_, Loop::Wish::kRead, [this] { ready(); });
}

Client::~Client() {
  loop_.forget(fd_);
  ::close(fd_);
}

std::vector<std::uint8_t> Client::read() {
  std::vector<std::uint8_t> octets(kPieceMax);
  const ssize_t got = ::recv(fd_, octets.data(), octets.size(), MSG_DONTWAIT);
  const bool later = got < 0 && (errno == EAGAIN || errno == EINTR);
  if (got <= 0 && !later) gone_ = true;
  if (got > 0) active_at_ = now_();
  octets.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
  return octets;
}

void Client::write(std::span<const std::uint8_t> octets) {
  while (!octets.empty() && !gone_) {
    const ssize_t put = ::send(fd_, octets.data(), octets.size(), MSG_DONTWAIT | MSG_NOSIGNAL);
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) {
      dropped_ = put < 0 && errno == EAGAIN;
      gone_ = true;
      return;
    }
    active_at_ = now_();
    octets = octets.subspan(static_cast<std::size_t>(put));
  }
}

bool Client::busy() const {
  std::uint8_t octet = 0;
  return next() || now_() - active_at_ < kJustNow || ::recv(fd_, &octet, 1, MSG_PEEK | MSG_DONTWAIT) > 0;
}

void Client::want(bool more) {
  loop_.change(fd_, more ? Loop::Wish::kRead : Loop::Wish::kNothing);
}

MadeOutlet ClientsOutlet::make(const std::string& scheme, const std::string& where, const OutletSetup& setup,
                               MakeClient make_client) {
  std::unique_ptr<ClientsOutlet> outlet{new ClientsOutlet{scheme, setup, std::move(make_client)}};
  auto listener = Listener::make(where, setup.loop, [self = outlet.get()](int fd) { self->take(fd); });
  if (!listener) return tl::unexpected(listener.error());
  outlet->listener_ = *std::move(listener);
  return outlet;
}

void ClientsOutlet::take(int fd) {
  take_away_gone();
  if (clients_.size() >= kClientsMax) let_idle_give_way();
  if (clients_.size() >= kClientsMax) {
    ++past_.clients_refused;
    ::close(fd);
    return;
  }
  clients_.push_back(make_client_(fd, ++taken_));
}

void ClientsOutlet::let_idle_give_way() {
  Client* idle = nullptr;
  for (const auto& client : clients_) {
    if ((idle == nullptr || client->active_at() < idle->active_at()) && !client->busy()) idle = client.get();
  }
  if (idle == nullptr) return;
  ++past_.clients_idle;
  idle->leave();
  take_away_gone();
}

void ClientsOutlet::go_on() {
  const auto now = now_();
  for (const auto& client : clients_) {
    if (client->next().value_or(protocol::base::Instant::max()) <= now) client->go_on(now);
  }
  take_away_gone();
}

void ClientsOutlet::take_away_gone() {
  std::erase_if(clients_, [this](const std::unique_ptr<Client>& client) {
    if (!client->gone()) return false;
    add(past_, client->counts());
    if (client->dropped()) ++past_.clients_dropped;
    for (const auto& seat : seats_) seat->link_lost(client->asker());
    return true;
  });
}

std::optional<protocol::base::Instant> ClientsOutlet::next() const {
  std::optional<protocol::base::Instant> at;
  for (const auto& client : clients_) {
    if (client->gone()) return protocol::base::Instant{};  // to be taken away
    const auto one = client->next();
    if (one && (!at || *one < *at)) at = one;
  }
  return at;
}

void ClientsOutlet::sync() {
  for (const auto& client : clients_) client->sync();
}

OutletCounts ClientsOutlet::counts() const {
  OutletCounts all = past_;
  for (const auto& client : clients_) add(all, client->counts());
  return all;
}

}  // namespace sim::port
