#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace tests::sim::port {

/// A client of a socket of the simulator, TCP on this machine or Unix. Fails the test where it can't connect.
class SocketClient {
 public:
  /// `name` as the simulator says it is ready: "tcp://127.0.0.1:4321", "mbtcp://[::1]:4321"; or a path.
  explicit SocketClient(const std::string& name);
  ~SocketClient();
  SocketClient(const SocketClient&) = delete;
  SocketClient& operator=(const SocketClient&) = delete;

  /// Sends what the socket takes without waiting for the other side; returns how much that was.
  std::size_t send(const std::vector<std::uint8_t>& octets) const;
  void send(const std::string& text) const;

  /// Says no more, and still listens.
  void end() const;

  /// What comes until `enough` octets are there, the other side has closed, or nothing has come for a second.
  [[nodiscard]] std::vector<std::uint8_t> receive(std::size_t enough) const;
  /// A line, without its end.
  [[nodiscard]] std::string line() const;
  /// Sends a line and gives the answer's.
  [[nodiscard]] std::string ask(const std::string& text) const;
  /// Whether the other side closes within two seconds; what it still sends is thrown away.
  [[nodiscard]] bool closes() const;

 private:
  int fd_;
};

/// The port names that a simulator said were ready, in its order.
[[nodiscard]] std::vector<std::string> ready_names(const std::string& err);

}  // namespace tests::sim::port
