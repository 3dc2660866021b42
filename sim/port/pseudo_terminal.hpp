#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include <tl/expected.hpp>

namespace sim::port {

/// A pseudo-terminal with a name of its own: octets, no echo, no line discipline. Keeps its far end open
/// itself, so that the near end lives on between two clients.
class PseudoTerminal {
 public:
  /// Makes it, and `link` as a symbolic link to it. A symbolic link that leads nowhere any more is replaced;
  /// anything else of that name is left alone.
  /// Errors   one line: what stands there, or what the system said. Exit code 73.
  [[nodiscard]] static tl::expected<std::unique_ptr<PseudoTerminal>, std::string> make(
      const std::string& link);

  /// Whether the link's folder goes with it, if it is empty then: it was made for the link alone.
  void remove_folder_too() { folder_too_ = true; }

  /// Removes the link, if it is still ours.
  ~PseudoTerminal();
  PseudoTerminal(const PseudoTerminal&) = delete;
  PseudoTerminal& operator=(const PseudoTerminal&) = delete;

  /// Readable when a client has sent octets, or when one came or went.
  [[nodiscard]] int octets_fd() const { return near_; }
  [[nodiscard]] int clients_fd() const { return watch_; }

  /// The clients' end: what they set, this one has.
  [[nodiscard]] int far_fd() const { return far_; }

  /// At most `most` octets of what clients have sent, without waiting.
  [[nodiscard]] std::vector<std::uint8_t> read(std::size_t most);

  /// Sends octets; what nobody takes is lost, as on a wire.
  void write(std::span<const std::uint8_t> octets);

  /// Takes note of clients that came and went. True when the last one has gone: what it left unread has been
  /// thrown away, and its claim to the port lifted, for the next one.
  [[nodiscard]] bool last_client_gone();

 private:
  PseudoTerminal() = default;

  std::string link_, name_;
  int near_ = -1, far_ = -1, watch_ = -1;
  int clients_ = 0;
  bool linked_ = false;
  bool folder_too_ = false;
};

}  // namespace sim::port
