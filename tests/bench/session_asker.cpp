#include <algorithm>
#include <array>
#include <cstdio>
#include <utility>

#include "host/link/session.hpp"
#include "tests/bench/asker.hpp"
#include "tests/bench/unit.hpp"

namespace tests::bench {

namespace {

using host::link::CancelToken;
using host::link::Deadline;
using host::link::Session;

bool told(const host::link::LinkError& error) {
  std::fprintf(stderr, "bench_wire: %s\n", error.message.c_str());
  return false;
}

class SessionAsker final : public Asker {
 public:
  bool open(const std::string& text) {
    const auto link = host::link::parse_link(text);
    if (!link) return told(link.error());
    const auto deadline = Deadline::after(protocol::base::milliseconds(120'000));
    host::link::SessionOptions options;
    options.writes.allow(kLatchAddress, kOwner, kOwner);
    auto session = Session::open(*link, options, deadline, cancel_);
    if (!session) return told(session.error());
    session_ = std::make_unique<Session>(std::move(*session));
    return true;
  }

  [[nodiscard]] bool latch() override {
    const std::array<std::uint16_t, 1> owner{kOwner};
    const auto done = session_->write(kLatchAddress, owner);
    return done ? true : told(done.error());
  }

  [[nodiscard]] bool read(std::uint16_t address, std::span<std::uint16_t> words) override {
    const auto got =
        session_->read(host::link::Table::kInput, address, static_cast<std::uint16_t>(words.size()));
    if (!got) return told(got.error());
    std::copy(got->begin(), got->end(), words.begin());
    return true;
  }

 private:
  CancelToken cancel_;
  std::unique_ptr<Session> session_;
};

}  // namespace

std::unique_ptr<Asker> session_asker(const std::string& link) {
  auto asker = std::make_unique<SessionAsker>();
  if (!asker->open(link)) return nullptr;
  return asker;
}

}  // namespace tests::bench
