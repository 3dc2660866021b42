#include <cerrno>
#include <cstdio>
#include <ctime>

#include <modbus/modbus.h>

#include "tests/bench/asker.hpp"
#include "tests/bench/unit.hpp"

namespace tests::bench {

namespace {

constexpr int kBaud = 115'200;

struct Free {
  void operator()(modbus_t* context) const {
    modbus_close(context);
    modbus_free(context);
  }
};
using Context = std::unique_ptr<modbus_t, Free>;

bool told() {
  std::fprintf(stderr, "bench_wire: libmodbus: %s\n", modbus_strerror(errno));
  return false;
}

class LibmodbusAsker final : public Asker {
 public:
  LibmodbusAsker(Context context, std::uint32_t gap_us)
      : context_{std::move(context)}, gap_{0, static_cast<long>(gap_us) * 1'000} {}

  [[nodiscard]] bool latch() override {
    wait();
    return modbus_write_register(context_.get(), kLatchAddress, kOwner) == 1 || told();
  }

  [[nodiscard]] bool read(std::uint16_t address, std::span<std::uint16_t> words) override {
    wait();
    const int count = static_cast<int>(words.size());
    return modbus_read_input_registers(context_.get(), address, count, words.data()) == count || told();
  }

 private:
  void wait() const {
    if (gap_.tv_nsec > 0) ::nanosleep(&gap_, nullptr);
  }

  Context context_;
  timespec gap_;
};

}  // namespace

std::unique_ptr<Asker> libmodbus_asker(const std::string& where, std::uint32_t gap_us) {
  const std::size_t colon = where.find(':');
  const bool tcp = where.find('/') == std::string::npos && colon != std::string::npos;
  Context context{tcp ? modbus_new_tcp_pi(where.substr(0, colon).c_str(), where.substr(colon + 1).c_str())
                      : modbus_new_rtu(where.c_str(), kBaud, 'E', 8, 1)};
  constexpr std::uint32_t kSeconds = 2;
  if (!context || modbus_set_slave(context.get(), 1) != 0 ||
      modbus_set_response_timeout(context.get(), kSeconds, 0) != 0 || modbus_connect(context.get()) != 0) {
    (void)told();
    return nullptr;
  }
  return std::make_unique<LibmodbusAsker>(std::move(context), gap_us);
}

}  // namespace tests::bench
