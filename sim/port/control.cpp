#include "sim/port/control.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>

#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

namespace sim::port {
namespace {

constexpr int kCantCreate = 73;

tl::unexpected<Ending> refuse(const std::string& path, const std::string& what) {
  return tl::unexpected(Ending{kCantCreate, "strapline-sim: " + path + ": " + what + "\n"});
}

std::string system_error() {
  return std::strerror(errno);  // NOLINT(concurrency-mt-unsafe): one thread
}

int unix_socket() {
  return ::socket(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
}

// Left behind by a simulator that was killed: a socket that nobody listens on.
bool stale(const sockaddr_un& address) {
  struct stat file{};
  if (::lstat(address.sun_path, &file) != 0 || !S_ISSOCK(file.st_mode)) return false;
  const int probe = unix_socket();
  // NOLINTNEXTLINE(*-reinterpret-cast): as sockets want it
  const int reached = ::connect(probe, reinterpret_cast<const sockaddr*>(&address), sizeof address);
  const bool refused = reached != 0 && errno == ECONNREFUSED;
  ::close(probe);
  return refused;
}

std::string help_line() {
  std::string text = "ok ";
  for (const script::VerbWords& words : script::verb_words()) {
    text +=
        std::string{words.name} + (words.argument.empty() ? "" : " ") + std::string{words.argument} + "; ";
  }
  return text + "truth; seen; help; each may follow \"unit N\"";
}

std::string seen_line(const script::Eye& eye) {
  std::string look;
  for (const std::string& word : eye.look) look += (look.empty() ? "" : ",") + word;
  return "ok screen " + eye.screen + ", look " + (look.empty() ? "-" : look) + ", when " + eye.when;
}

// An ending's text without the program's name, in one line.
std::string first_line(const Ending& ending) {
  constexpr std::string_view kProgram = "strapline-sim: ";
  std::string_view text = ending.text;
  if (text.starts_with(kProgram)) text.remove_prefix(kProgram.size());
  return std::string{text.substr(0, text.find('\n'))};
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t' || text.back() == '\r')) {
    text.remove_suffix(1);
  }
  return text;
}

}  // namespace

std::string answer_control(std::string_view line, const std::vector<std::unique_ptr<Specimen>>& specimens,
                           const std::function<std::optional<Ending>(const Specimen&)>& draw) {
  line = trimmed(line);
  const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; };
  if (std::any_of(line.begin(), line.end(), control)) return "error: a command has no control characters";
  std::size_t n = 1;
  if (line.starts_with("unit ")) {
    line = trimmed(line.substr(5));
    const auto [end, error] = std::from_chars(line.data(), line.data() + line.size(), n);
    if (error != std::errc{} || n < 1 || n > specimens.size()) {
      return "error: units are 1 to " + std::to_string(specimens.size());
    }
    line = trimmed(line.substr(static_cast<std::size_t>(end - line.data())));
  }
  Specimen& specimen = *specimens[n - 1];
  if (line == "help") return help_line();
  if (line == "truth") return "ok " + script::to_json(specimen.truth());
  if (line == "seen") {
    const auto bad = draw ? draw(specimen) : std::nullopt;
    return bad ? "error: " + first_line(*bad) : seen_line(specimen.truth().eye);
  }
  const auto act = script::parse_act(line);
  if (!act) return "error: " + act.error();
  const auto done = specimen.perform(*act);
  return done ? "ok " + script::to_text(*act) : "error: " + done.error();
}

ControlSocket::ControlSocket(std::string path, int fd, Loop& loop, Answer answer)
    : path_{std::move(path)}, fd_{fd}, loop_{loop}, answer_{std::move(answer)} {
  loop_.watch(fd_, Loop::Wish::kRead, [this] { take(); });
}

ControlSocket::~ControlSocket() {
  while (!clients_.empty()) leave(clients_.begin()->first);
  loop_.forget(fd_);
  ::close(fd_);
  ::unlink(path_.c_str());
}

tl::expected<std::unique_ptr<ControlSocket>, Ending> ControlSocket::make(const std::string& path, Loop& loop,
                                                                         Answer answer) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  if (path.size() >= sizeof address.sun_path) {
    return refuse(path,
                  "a socket's path has at most " + std::to_string(sizeof address.sun_path - 1) + " octets");
  }
  std::copy(path.begin(), path.end(), std::begin(address.sun_path));
  if (stale(address)) ::unlink(path.c_str());
  const int fd = unix_socket();
  if (fd < 0) return refuse(path, system_error());
  // Nobody else's from the first moment on: the mode is there when the name is.
  const mode_t before = ::umask(0177);
  // NOLINTNEXTLINE(*-reinterpret-cast): as sockets want it
  const bool bound = ::bind(fd, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
  const std::string why = bound ? "" : system_error();
  ::umask(before);
  if (!bound || ::listen(fd, static_cast<int>(kClientsMax)) != 0) {
    ::close(fd);
    return refuse(path, why.empty() ? system_error() : why);
  }
  return std::unique_ptr<ControlSocket>{new ControlSocket{path, fd, loop, std::move(answer)}};
}

void ControlSocket::take() {
  const auto client = loop_.accept(fd_);
  if (!client) return;
  if (clients_.size() >= kClientsMax) {
    (void)say(*client, "error: too many at this socket");
    ::close(*client);
    return;
  }
  clients_.emplace(*client, "");
  loop_.watch(*client, Loop::Wish::kRead, [this, fd = *client] { read(fd); });
}

void ControlSocket::read(int fd) {
  std::array<char, 512> piece{};
  const ssize_t got = ::recv(fd, piece.data(), piece.size(), MSG_DONTWAIT);
  if (got < 0 && (errno == EAGAIN || errno == EINTR)) return;
  std::string& begun = clients_.at(fd);
  if (got <= 0) {
    // The end of what a client says ends its last line too.
    if (got == 0 && !begun.empty()) (void)take_lines(fd, begun += '\n');
    return leave(fd);
  }
  begun.append(piece.data(), static_cast<std::size_t>(got));
  if (!take_lines(fd, begun)) leave(fd);
}

bool ControlSocket::take_lines(int fd, std::string& begun) {
  for (std::size_t end = begun.find('\n'); end != std::string::npos; end = begun.find('\n')) {
    const std::string line = begun.substr(0, end);
    begun.erase(0, end + 1);
    if (line.size() > kLineMax) break;
    if (!say(fd, answer_(line))) return false;
  }
  if (begun.size() <= kLineMax) return true;
  (void)say(fd, "error: a command has at most " + std::to_string(kLineMax) + " octets");
  return false;
}

bool ControlSocket::say(int fd, std::string text) {
  text += '\n';
  return ::send(fd, text.data(), text.size(), MSG_DONTWAIT | MSG_NOSIGNAL) ==
         static_cast<ssize_t>(text.size());
}

void ControlSocket::leave(int fd) {
  loop_.forget(fd);
  ::close(fd);
  clients_.erase(fd);
}

}  // namespace sim::port
