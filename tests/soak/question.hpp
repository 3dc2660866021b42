#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "protocol/pdu/request.hpp"
#include "tests/soak/device.hpp"
#include "tests/soak/dice.hpp"

namespace tests::soak {

/// One operation: what is asked, what has to be answered, octet by octet, and what the unit's memory holds
/// then.
struct Question {
  protocol::pdu::Request request;
  std::array<std::uint8_t, protocol::pdu::kPduSizeMax> storage{};
  std::uint16_t size = 0;
  TellingDevice::Scratch scratch{};
  /// 08 with a counter of the port's: its number, else 0. What is counted takes the place of the last word.
  std::uint8_t counter = 0;

  [[nodiscard]] protocol::base::Octets answer() const { return {storage.data(), size}; }

  void say(std::uint8_t octet) { storage[size++] = octet; }
  void say_word(std::uint16_t word) {
    say(static_cast<std::uint8_t>(word >> 8U));
    say(static_cast<std::uint8_t>(word & 0xFFU));
  }
};

/// Draws questions of every function that a client may ask, and works out their answers from what the unit
/// tells, by the layouts of the standard and not by protocol's own.
///
/// No two writes in a row go to one place: an acknowledgement says nothing of when, so one that came twice
/// might stand for the next, as a client of Modbus can't help (protocol/session/client.hpp).
class Questions {
 public:
  /// Both outlive it.
  Questions(Dice& dice, TellingDevice& device) : dice_{dice}, device_{device} {}

  /// One question about the unit as it is now. `acknowledged`: half of them are such that the answer is the
  /// request again, which is what a line that echoes can be mistaken for.
  [[nodiscard]] Question draw(bool acknowledged);

 private:
  void read_few(Question& question);
  void read_many(Question& question);
  void read_bits(Question& question);
  void write_coil(Question& question);
  void write_word(Question& question);
  void write_coils(Question& question);
  void write_words(Question& question);
  void return_data(Question& question);
  void read_counter(Question& question);
  void report_id(Question& question);
  void read_files(Question& question);
  void mask_word(Question& question);
  void read_write(Question& question);
  void read_queue(Question& question);
  void identify(Question& question);

  void read_words(Question& question, std::uint16_t count);
  void same_head(Question& question);
  void set_bit(Question& question, std::uint32_t coil, bool on);
  [[nodiscard]] std::uint16_t next_place(std::uint32_t registers);
  [[nodiscard]] std::uint16_t any(std::uint32_t bound) {
    return static_cast<std::uint16_t>(dice_.below(bound));
  }
  [[nodiscard]] std::uint16_t word(const Question& question, TellingDevice::Table table,
                                   std::uint16_t address) const;

  Dice& dice_;
  TellingDevice& device_;
  std::uint16_t place_ = 0;
};

}  // namespace tests::soak
