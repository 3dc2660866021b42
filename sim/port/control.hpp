#pragma once

#include <functional>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "sim/port/loop.hpp"
#include "sim/port/options.hpp"
#include "sim/port/specimen.hpp"

namespace sim::port {

/// What the control socket answers to one line, without the line's end: "ok …" or "error: …".
///
/// Grammar  [ "unit" N ] command. A command is a verb of script/act.hpp with its argument; "truth": what is
///          really so, as JSON in one line; "seen": what the eye sees, of which `draw` keeps a picture where
///          one is wanted; "help". Units count from 1, which is who is meant where nothing is said.
[[nodiscard]] std::string answer_control(
    std::string_view line, const std::vector<std::unique_ptr<Specimen>>& specimens,
    const std::function<std::optional<Ending>(const Specimen&)>& draw = {});

/// A Unix socket that takes such lines from whoever may open it, which is its owner alone.
class ControlSocket {
 public:
  using Answer = std::function<std::string(std::string_view)>;

  /// Makes it. A socket nobody listens on any more is replaced; anything else of that name is left alone.
  /// Errors   73, one line.
  [[nodiscard]] static tl::expected<std::unique_ptr<ControlSocket>, Ending> make(const std::string& path,
                                                                                 Loop& loop, Answer answer);
  /// Removes the socket.
  ~ControlSocket();
  ControlSocket(const ControlSocket&) = delete;
  ControlSocket& operator=(const ControlSocket&) = delete;

  static constexpr std::size_t kLineMax = 1'024;  // octets; who sends a longer one is sent away
  static constexpr std::size_t kClientsMax = 8;

 private:
  ControlSocket(std::string path, int fd, Loop& loop, Answer answer);
  void take();
  void read(int fd);
  [[nodiscard]] bool take_lines(int fd, std::string& begun);
  [[nodiscard]] static bool say(int fd, std::string text);
  void leave(int fd);

  std::string path_;
  int fd_;
  Loop& loop_;
  Answer answer_;
  std::map<int, std::string> clients_;  // what each has begun to say
};

}  // namespace sim::port
