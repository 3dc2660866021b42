#include "tests/soak/question.hpp"

#include <cstddef>
#include <span>

namespace tests::soak {

namespace {

using Table = TellingDevice::Table;
using protocol::pdu::FileRecord;
using protocol::pdu::ReadDeviceId;

constexpr std::uint32_t kWordBits = 16;
constexpr std::uint16_t kScratch = TellingDevice::kScratch;

// One in eight is as long as it may be.
std::uint16_t count_of(Dice& dice, std::uint32_t few, std::uint32_t most) {
  return static_cast<std::uint16_t>(1 + dice.below(dice.below(8) == 0 ? most : few));
}

}  // namespace

// Three in five are reads of two or three registers, so that shapes repeat as often as they can.
Question Questions::draw(bool acknowledged) {
  using Make = void (Questions::*)(Question&);
  constexpr std::array<Make, 8> kAcknowledged{
      &Questions::write_coil, &Questions::write_word,  &Questions::write_coil,  &Questions::write_word,
      &Questions::mask_word,  &Questions::return_data, &Questions::write_coils, &Questions::write_words};
  constexpr std::array<Make, 16> kOthers{
      &Questions::read_bits,   &Questions::read_bits,   &Questions::write_coil,  &Questions::write_word,
      &Questions::write_coils, &Questions::write_words, &Questions::return_data, &Questions::read_counter,
      &Questions::report_id,   &Questions::read_files,  &Questions::read_files,  &Questions::mask_word,
      &Questions::read_write,  &Questions::read_queue,  &Questions::identify,    &Questions::read_many};
  Question question;
  question.scratch = device_.scratch;
  Make make = &Questions::read_few;
  if (acknowledged && dice_.below(2) == 0) {
    make = kAcknowledged[dice_.below(kAcknowledged.size())];
  } else if (dice_.below(5) < 2) {
    make = kOthers[dice_.below(kOthers.size())];
  }
  (this->*make)(question);
  return question;
}

std::uint16_t Questions::next_place(std::uint32_t registers) {
  place_ = static_cast<std::uint16_t>(place_ + 1 + dice_.below(8));
  if (place_ + registers > TellingDevice::kScratchSize) place_ = 0;
  return place_;
}

// As the unit will have it once the question is done.
std::uint16_t Questions::word(const Question& question, Table table, std::uint16_t address) const {
  const bool scratch = address >= kScratch && address < kScratch + TellingDevice::kScratchSize;
  return table == Table::kHolding && scratch ? question.scratch[static_cast<std::size_t>(address - kScratch)]
                                             : device_.word(table, address);
}

// Writes answer with the first five octets of what was asked.
void Questions::same_head(Question& question) {
  for (const std::uint8_t octet : question.request.octets().first(5)) question.say(octet);
}

void Questions::set_bit(Question& question, std::uint32_t coil, bool on) {
  std::uint16_t& word = question.scratch[coil / kWordBits - kScratch];
  const std::uint32_t mask = 1U << (coil % kWordBits);
  word = static_cast<std::uint16_t>(on ? word | mask : word & ~mask);
}

void Questions::read_few(Question& question) {
  read_words(question, static_cast<std::uint16_t>(2 + dice_.below(2)));
}

void Questions::read_many(Question& question) {
  read_words(question, static_cast<std::uint16_t>(1 + dice_.below(protocol::pdu::kReadRegistersMax)));
}

void Questions::read_words(Question& question, std::uint16_t count) {
  const std::uint16_t address = any(0xD000);
  const bool holding = dice_.below(3) == 0;
  question.request = holding ? protocol::pdu::read_holding_registers(address, count)
                             : protocol::pdu::read_input_registers(address, count);
  question.say(holding ? 0x03 : 0x04);
  question.say(static_cast<std::uint8_t>(count * 2));
  for (std::uint32_t i = 0; i < count; ++i) {
    question.say_word(
        word(question, holding ? Table::kHolding : Table::kInput, static_cast<std::uint16_t>(address + i)));
  }
}

// Five octets of bits or six, unless they are many.
void Questions::read_bits(Question& question) {
  const bool many = dice_.below(8) == 0;
  const auto count =
      static_cast<std::uint16_t>(many ? 1 + dice_.below(protocol::pdu::kReadBitsMax) : 33 + dice_.below(16));
  const std::uint16_t address = any(0x10000U - count);
  const bool coils = dice_.below(2) == 0;
  question.request =
      coils ? protocol::pdu::read_coils(address, count) : protocol::pdu::read_discrete_inputs(address, count);
  question.say(coils ? 0x01 : 0x02);
  question.say(static_cast<std::uint8_t>((count + 7) / 8));
  for (std::uint32_t i = 0; i < count; i += 8) {
    std::uint32_t octet = 0;
    for (std::uint32_t bit = 0; bit < 8 && i + bit < count; ++bit) {
      const std::uint32_t at = address + i + bit;
      const std::uint16_t held =
          word(question, coils ? Table::kHolding : Table::kInput, static_cast<std::uint16_t>(at / kWordBits));
      octet |= ((std::uint32_t{held} >> (at % kWordBits)) & 1U) << bit;
    }
    question.say(static_cast<std::uint8_t>(octet));
  }
}

void Questions::write_coil(Question& question) {
  const std::uint32_t coil = (kScratch + next_place(1)) * kWordBits + dice_.below(kWordBits);
  const bool on = dice_.below(2) == 0;
  question.request = protocol::pdu::write_single_coil(static_cast<std::uint16_t>(coil), on);
  set_bit(question, coil, on);
  same_head(question);
}

void Questions::write_coils(Question& question) {
  const std::uint16_t count = count_of(dice_, 40, protocol::pdu::kWriteBitsMax);
  const std::uint32_t head = dice_.below(kWordBits);
  const std::uint32_t first = (kScratch + next_place((head + count) / kWordBits + 1)) * kWordBits + head;
  std::array<std::uint8_t, protocol::pdu::kPduSizeMax> packed{};
  const auto octets = std::span{packed}.first((std::size_t{count} + 7) / 8);
  for (std::uint8_t& octet : octets) octet = static_cast<std::uint8_t>(dice_.below(256));
  for (std::uint32_t i = 0; i < count; ++i)
    set_bit(question, first + i, (octets[i / 8] >> (i % 8) & 1U) != 0);
  question.request = protocol::pdu::write_multiple_coils(static_cast<std::uint16_t>(first), count, octets);
  same_head(question);
}

void Questions::write_word(Question& question) {
  const std::uint16_t place = next_place(1);
  question.scratch[place] = static_cast<std::uint16_t>(dice_.next());
  question.request = protocol::pdu::write_single_register(static_cast<std::uint16_t>(kScratch + place),
                                                          question.scratch[place]);
  same_head(question);
}

void Questions::write_words(Question& question) {
  const std::uint16_t count = count_of(dice_, 3, protocol::pdu::kWriteRegistersMax);
  const std::uint16_t place = next_place(count);
  const auto words = std::span{question.scratch}.subspan(place, count);
  for (std::uint16_t& word : words) word = static_cast<std::uint16_t>(dice_.next());
  question.request =
      protocol::pdu::write_multiple_registers(static_cast<std::uint16_t>(kScratch + place), words);
  same_head(question);
}

void Questions::mask_word(Question& question) {
  const std::uint16_t place = next_place(1);
  const auto keep = static_cast<std::uint16_t>(dice_.next());
  const auto set = static_cast<std::uint16_t>(dice_.next());
  std::uint16_t& word = question.scratch[place];
  word = static_cast<std::uint16_t>((word & keep) | (set & ~keep));
  question.request =
      protocol::pdu::mask_write_register(static_cast<std::uint16_t>(kScratch + place), keep, set);
  for (const std::uint8_t octet : question.request.octets()) question.say(octet);
}

// What is read was written by the same request, in one of two.
void Questions::read_write(Question& question) {
  const auto written = static_cast<std::uint16_t>(1 + dice_.below(4));
  const std::uint16_t place = next_place(written);
  const auto words = std::span{question.scratch}.subspan(place, written);
  for (std::uint16_t& word : words) word = static_cast<std::uint16_t>(dice_.next());
  const bool same = dice_.below(2) == 0;
  const std::uint16_t count = same ? written : count_of(dice_, 4, protocol::pdu::kReadRegistersMax);
  const auto address = same ? static_cast<std::uint16_t>(kScratch + place) : any(0xD000);
  question.request = protocol::pdu::read_write_registers(address, count,
                                                         static_cast<std::uint16_t>(kScratch + place), words);
  question.say(0x17);
  question.say(static_cast<std::uint8_t>(count * 2));
  for (std::uint32_t i = 0; i < count; ++i)
    question.say_word(word(question, Table::kHolding, static_cast<std::uint16_t>(address + i)));
}

void Questions::return_data(Question& question) {
  question.request = protocol::pdu::return_query_data(static_cast<std::uint16_t>(dice_.next()));
  same_head(question);
}

// Messages on the bus, or those for the unit: each is more by the request that asks.
void Questions::read_counter(Question& question) {
  question.counter = dice_.below(2) == 0 ? 0x0B : 0x0E;
  question.request = protocol::pdu::diagnose(question.counter);
  same_head(question);
}

void Questions::report_id(Question& question) {
  question.request = protocol::pdu::report_server_id();
  question.say(0x11);
  const auto id = device_.server_id();
  question.say(static_cast<std::uint8_t>(id.size()));
  for (const std::uint8_t octet : id) question.say(octet);
}

// One group mostly, and in one of eight a whole block of 64 registers and another.
void Questions::read_files(Question& question) {
  std::array<FileRecord, 3> groups{};
  const auto used = std::span{groups}.first(1 + (dice_.below(4) == 0 ? dice_.below(3) : 0));
  const bool long_ones = used.size() == 1 && dice_.below(8) == 0;
  std::size_t octets = 0;
  for (FileRecord& group : used) {
    group.file = static_cast<std::uint16_t>(1 + dice_.below(20));
    group.record = any(0x1000);
    group.count = static_cast<std::uint16_t>(long_ones ? 64 + dice_.below(2) : 2 + dice_.below(2));
    octets += 2 + std::size_t{group.count} * 2;
  }
  question.request = protocol::pdu::read_file_records(used);
  question.say(0x14);
  question.say(static_cast<std::uint8_t>(octets));
  for (const FileRecord& group : used) {
    question.say(static_cast<std::uint8_t>(1 + group.count * 2));
    question.say(6);
    for (std::uint32_t i = 0; i < group.count; ++i)
      question.say_word(device_.file_word(group.file, static_cast<std::uint16_t>(group.record + i)));
  }
}

void Questions::read_queue(Question& question) {
  const std::uint16_t address = any(0xD000);
  const std::uint8_t count = device_.queued(address);
  question.request = protocol::pdu::read_fifo_queue(address);
  question.say(0x18);
  question.say_word(static_cast<std::uint16_t>(2 + count * 2));
  question.say_word(count);
  for (std::uint8_t i = 0; i < count; ++i) question.say_word(device_.queue_word(address, i));
}

// Any category from any of its objects on, or any object.
void Questions::identify(Question& question) {
  constexpr std::size_t kBasicObjects = 3;
  constexpr std::size_t kHeader = 7;
  const auto& ids = TellingDevice::kObjects;
  const auto code = static_cast<ReadDeviceId>(1 + dice_.below(4));
  const bool one = code == ReadDeviceId::kIndividual;
  const bool all = one || code == ReadDeviceId::kExtended;
  const std::size_t end = all ? ids.size() : kBasicObjects;
  std::size_t at = dice_.below(static_cast<std::uint32_t>(end));
  question.request = protocol::pdu::read_device_identification(code, ids[at]);
  for (const std::uint8_t octet : question.request.octets().first(3)) question.say(octet);
  for (const std::uint8_t octet : std::array<std::uint8_t, 4>{0x83, 0, 0, 0}) question.say(octet);
  const std::size_t last = one ? at + 1 : end;
  for (; at < last; ++at) {
    const std::string_view text = device_.text(ids[at]);
    if (question.size + 2 + text.size() > protocol::pdu::kPduSizeMax) {
      question.storage[4] = 0xFF;
      question.storage[5] = ids[at];
      break;
    }
    question.say(ids[at]);
    question.say(static_cast<std::uint8_t>(text.size()));
    for (const char letter : text) question.say(static_cast<std::uint8_t>(letter));
    ++question.storage[kHeader - 1];
  }
}

}  // namespace tests::soak
