#pragma once

#include <functional>
#include <memory>
#include <string>

#include "sim/port/loop.hpp"
#include "sim/port/options.hpp"

namespace sim::port {

/// Where to listen: "PORT" and ":PORT" mean this machine alone, "[::1]:PORT" and "HOST:PORT" what they say.
struct HostPort {
  std::string host;
  std::string port;
  friend bool operator==(const HostPort&, const HostPort&) = default;
};

/// Errors   one sentence that says what would be right.
[[nodiscard]] tl::expected<HostPort, std::string> parse_host_port(const std::string& text);

/// A TCP socket that takes clients.
class Listener {
 public:
  /// Called with each client's descriptor, which then belongs to who is called; non-blocking, without delay,
  /// and ended by the system where its machine has gone without a word.
  using Taken = std::function<void(int)>;

  /// Errors   64: `where` can't be read; 66: no such host; 74: the port is taken; 77: no right to it.
  [[nodiscard]] static tl::expected<std::unique_ptr<Listener>, Ending> make(const std::string& where,
                                                                            Loop& loop, Taken taken);
  ~Listener();
  Listener(const Listener&) = delete;
  Listener& operator=(const Listener&) = delete;

  /// "127.0.0.1:4321", "[::1]:4321": the address as it is, with the port that was free where 0 was asked.
  [[nodiscard]] const std::string& address() const { return address_; }

 private:
  Listener(int fd, Loop& loop, Taken taken);

  int fd_;
  Loop& loop_;
  Taken taken_;
  std::string address_;
};

}  // namespace sim::port
