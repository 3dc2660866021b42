// A board of another house: libmodbus answers for it, with registers laid out as
// host/catalog/boards/maple.toml says and a sound unit of the kit control-wall in them.
//
//   peers_foreign_board pty PATH [CHANGE]...    RTU on a pseudo-terminal that PATH leads to
//   peers_foreign_board tcp [CHANGE]...         RTU over TCP, on a port of 127.0.0.1 that is printed
//   peers_foreign_board mbtcp [CHANGE]...       Modbus/TCP likewise
//
// A change is REGISTER=VALUE of an input register, or dBIT=VALUE of a discrete input.
// Says "ready: LINK" on standard error and answers until a signal ends it.
#include <array>
#include <cerrno>
#include <charconv>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include <arpa/inet.h>
#include <fcntl.h>
#include <modbus/modbus.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

namespace {

struct Free {
  void operator()(modbus_t* context) const { modbus_free(context); }
  void operator()(modbus_mapping_t* mapping) const { modbus_mapping_free(mapping); }
};
using Context = std::unique_ptr<modbus_t, Free>;
using Mapping = std::unique_ptr<modbus_mapping_t, Free>;

[[noreturn]] void give_up(const char* what) {
  std::perror(what);
  std::exit(1);
}

Mapping sound_unit() {
  Mapping unit{modbus_mapping_new_start_address(0, 0, 0, 16, 200, 8, 0, 128)};
  if (!unit) give_up("mapping");
  const auto inputs = [&](int address, std::initializer_list<std::uint16_t> words) {
    for (const std::uint16_t word : words) unit->tab_input_registers[address++] = word;
  };
  inputs(0, {0xC5D2, 0x0041});                     // serial number 4310482, low word first
  inputs(2, {0x372E, 0x3400});                     // "7.4"
  inputs(10, {12});                                // changes
  inputs(16, {2401, 330, 1201, 1199, 640, 2398});  // rails in 10 mV, the panel's current in mA
  inputs(40, {998, 24'000, 0, 8120});              // 4990 mV, 240.00 Hz, 812.0 permille
  inputs(64, {0x0002, 0x0005});                    // BR1 at 2-3, S1 at 1010
  inputs(96, {2560, 1440, 2720, 1481, 24'150});    // what the input counts, the pixel clock in 10 kHz
  unit->tab_input_bits[3] = unit->tab_input_bits[4] = 1;
  unit->tab_registers[0] = 80;
  return unit;
}

// "19=502" puts 502 into input register 19, "d3=0" takes discrete input 3 away.
void put(modbus_mapping_t& unit, std::string_view change) {
  const bool bit = change.starts_with('d');
  if (bit) change.remove_prefix(1);
  const std::size_t sign = change.find('=');
  int address = -1;
  std::uint16_t value = 0;
  if (sign != std::string_view::npos) {
    const std::string_view left = change.substr(0, sign);
    const std::string_view right = change.substr(sign + 1);
    std::from_chars(left.data(), left.data() + left.size(), address);
    std::from_chars(right.data(), right.data() + right.size(), value);
  }
  if (address < 0 || address >= (bit ? unit.nb_input_bits : unit.nb_input_registers)) {
    std::fputs("a change is REGISTER=VALUE, the register from 0 to 127, or dBIT=VALUE, from 0 to 15\n",
               stderr);
    std::exit(64);
  }
  if (bit) {
    unit.tab_input_bits[address] = value != 0 ? 1 : 0;
  } else {
    unit.tab_input_registers[address] = value;
  }
}

// Tenths of seconds since this program began, low word first.
void tell_uptime(modbus_mapping_t& unit) {
  static const auto began = std::chrono::steady_clock::now();
  const auto up = std::chrono::steady_clock::now() - began;
  const auto tenths = static_cast<std::uint32_t>(up / std::chrono::milliseconds{100});
  unit.tab_input_registers[8] = static_cast<std::uint16_t>(tenths & 0xFFFFU);
  unit.tab_input_registers[9] = static_cast<std::uint16_t>(tenths >> 16U);
}

void answer(modbus_t& context, modbus_mapping_t& unit) {
  std::array<std::uint8_t, MODBUS_TCP_MAX_ADU_LENGTH> query{};
  for (;;) {
    const int size = modbus_receive(&context, query.data());
    if (size < 0 && (errno == ECONNRESET || errno == EBADF || errno == EIO)) return;
    if (size <= 0) continue;
    tell_uptime(unit);
    (void)modbus_reply(&context, query.data(), size, &unit);
  }
}

Context rtu() {
  Context context{modbus_new_rtu("/dev/null", 19'200, 'N', 8, 1)};
  if (!context || modbus_set_slave(context.get(), 1) != 0) give_up("context");
  return context;
}

void serve_pty(const std::string& link, modbus_mapping_t& unit) {
  const int master = ::posix_openpt(O_RDWR | O_NOCTTY);
  if (master < 0 || ::grantpt(master) != 0 || ::unlockpt(master) != 0) give_up("pseudo-terminal");
  const std::string name = ::ptsname(master);
  // One end stays open here, so that the other may come and go; and nothing is echoed or turned into lines.
  const int held = ::open(name.c_str(), O_RDWR | O_NOCTTY);
  termios raw{};
  if (held < 0 || ::tcgetattr(held, &raw) != 0) give_up("pseudo-terminal");
  ::cfmakeraw(&raw);
  if (::tcsetattr(held, TCSANOW, &raw) != 0 || ::symlink(name.c_str(), link.c_str()) != 0) give_up("link");
  const Context context = rtu();
  if (modbus_set_socket(context.get(), master) != 0) give_up("context");
  std::fprintf(stderr, "ready: %s\n", link.c_str());
  answer(*context, unit);
}

void serve_tcp(bool as_rtu, modbus_mapping_t& unit) {
  const int listener = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in place{};
  place.sin_family = AF_INET;
  place.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof place;
  auto* const address = reinterpret_cast<sockaddr*>(&place);
  if (listener < 0 || ::bind(listener, address, size) != 0 || ::listen(listener, 1) != 0 ||
      ::getsockname(listener, address, &size) != 0) {
    give_up("socket");
  }
  const Context context = as_rtu ? rtu() : Context{modbus_new_tcp("127.0.0.1", 0)};
  if (!context) give_up("context");
  std::fprintf(stderr, "ready: %s://127.0.0.1:%d\n", as_rtu ? "tcp" : "mbtcp", int{ntohs(place.sin_port)});
  for (;;) {
    const int taken = ::accept4(listener, nullptr, nullptr, SOCK_CLOEXEC);
    if (taken < 0 || modbus_set_socket(context.get(), taken) != 0) give_up("connection");
    answer(*context, unit);
    ::close(taken);
  }
}

}  // namespace

int main(int count, char** values) {
  const std::vector<std::string> arguments{values + 1, values + count};
  const std::string how = arguments.empty() ? "" : arguments.front();
  const bool pty = how == "pty" && arguments.size() > 1;
  if (!pty && how != "tcp" && how != "mbtcp") {
    std::fputs("peers_foreign_board pty PATH | tcp | mbtcp, then REGISTER=VALUE or dBIT=VALUE\n", stderr);
    return 64;
  }
  const Mapping unit = sound_unit();
  for (std::size_t i = pty ? 2 : 1; i < arguments.size(); ++i) put(*unit, arguments[i]);
  if (pty) {
    serve_pty(arguments[1], *unit);
  } else {
    serve_tcp(how == "tcp", *unit);
  }
  return 0;
}
