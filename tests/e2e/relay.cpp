#include "tests/e2e/relay.hpp"

#include <array>
#include <stdexcept>
#include <utility>

#include <fcntl.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

#include "protocol/rtu/crc.hpp"

namespace tests::e2e {
namespace {

constexpr int kSilenceMs = 5;

support::Launch simulator(const std::string& kit, const std::string& link) {
  support::Launch launch;
  launch.program = support::program_path("strapline-sim");
  launch.arguments = {kit, "--pty", link, "--catalog", support::source_path("host/catalog")};
  launch.time_limit = std::chrono::minutes{2};
  return launch;
}

void write_all(int descriptor, const Frame& octets) {
  std::size_t done = 0;
  while (done < octets.size()) {
    const ssize_t wrote = write(descriptor, octets.data() + done, octets.size() - done);
    if (wrote <= 0) return;
    done += static_cast<std::size_t>(wrote);
  }
}

Frame read_some(int descriptor) {
  std::array<std::uint8_t, 512> buffer{};
  const ssize_t got = read(descriptor, buffer.data(), buffer.size());
  return got <= 0 ? Frame{} : Frame(buffer.begin(), buffer.begin() + got);
}

}  // namespace

Relay::Relay(const std::string& kit, Mangling mangle)
    : mangle_{std::move(mangle)}, simulator_{simulator(kit, folder_.path() + "/unit")} {
  if (!simulator_.wait_for("ready")) throw std::runtime_error{"the simulator didn't get ready"};
  const int unit = open((folder_.path() + "/unit").c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  termios settings{};
  if (unit < 0 || tcgetattr(unit, &settings) != 0)
    throw std::runtime_error{"can't open the simulator's line"};
  cfmakeraw(&settings);
  tcsetattr(unit, TCSANOW, &settings);
  carrier_ = std::thread{[this, unit] { carry(unit); }};
}

Relay::~Relay() {
  stop_ = true;
  carrier_.join();
}

void Relay::carry(int unit) {
  Frame answer;
  while (!stop_) {
    std::array<pollfd, 2> ends{{{near_.far_end(), POLLIN, 0}, {unit, POLLIN, 0}}};
    const int ready = poll(ends.data(), ends.size(), answer.empty() ? 20 : kSilenceMs);
    if (ready == 0 && !answer.empty()) {
      for (const auto& frame : mangle_(answer, answers_++)) write_all(near_.far_end(), frame);
      answer.clear();
    }
    if ((ends[0].revents & POLLIN) != 0) write_all(unit, read_some(near_.far_end()));
    if ((ends[1].revents & POLLIN) != 0) {
      const Frame more = read_some(unit);
      answer.insert(answer.end(), more.begin(), more.end());
    }
  }
  close(unit);
}

Frame sealed(Frame frame) {
  frame.resize(frame.size() - 2);
  const std::uint16_t crc = protocol::rtu::crc16(frame);
  frame.push_back(static_cast<std::uint8_t>(crc & 0xffU));
  frame.push_back(static_cast<std::uint8_t>(crc >> 8U));
  return frame;
}

}  // namespace tests::e2e
