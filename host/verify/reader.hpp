#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "host/link/plan/cost.hpp"
#include "host/link/session.hpp"

namespace host::verify {

/// What a snapshot needs of a link: the calls of link::Session, so that tests can answer from memory.
class Reader {
 public:
  Reader() = default;
  virtual ~Reader() = default;
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;

  /// Errors of all four: those of link::Session; `refused` carries the exception code.
  [[nodiscard]] virtual link::Result<std::vector<std::uint16_t>> read(link::Table table,
                                                                      std::uint16_t address,
                                                                      std::uint16_t count) = 0;
  /// Coils or discrete inputs. A unit may have none: kRefused.
  [[nodiscard]] virtual link::Result<std::vector<bool>> read_bits(link::BitTable table, std::uint16_t address,
                                                                  std::uint16_t count) {
    (void)table, (void)address, (void)count;
    return link::failure(link::Fault::kRefused, "the unit has no single bits");
  }
  [[nodiscard]] virtual link::Result<void> write(std::uint16_t address,
                                                 std::span<const std::uint16_t> words) = 0;
  [[nodiscard]] virtual link::Result<link::DeviceObjects> identify() = 0;
  [[nodiscard]] virtual link::WireStatistics statistics() const = 0;

  /// Registers of one or more files, in the order of `groups`. A unit may have none: kRefused.
  [[nodiscard]] virtual link::Result<std::vector<std::uint16_t>> read_files(
      std::span<const protocol::pdu::FileRecord> groups) {
    (void)groups;
    return link::failure(link::Fault::kRefused, "the unit has no files");
  }

  /// What a read costs, as far as this link has shown; the slowest usual line where nothing is known.
  [[nodiscard]] virtual link::plan::LineCost line_cost() const { return {}; }

  /// After kGone: waits until the unit can be asked again; it may be another one then.
  /// Errors   kGone where nothing comes back, else those of link::Session::reopen().
  [[nodiscard]] virtual link::Result<void> reopen() {
    return link::failure(link::Fault::kGone, "the unit does not come back");
  }
};

/// Whether this line has let through what it should not have: what decides a pass is then read twice.
/// A checksum lets about one in 2^15 of bad frames pass.
[[nodiscard]] inline bool has_shown_bad_frames(const Reader& reader) {
  const auto counts = reader.statistics().counts;
  return counts.frames_bad > 0 || counts.frames_stale > 0;
}

/// The most registers to ask for at once, by what the line has shown: longer answers would come spoilt so
/// often that it broke the quality gate. 125 on a line that has shown nothing, never less than 4, and more of
/// a unit that takes its time.
[[nodiscard]] std::uint16_t block_count_max(const Reader& reader);

/// A session as a Reader. The session outlives it.
class SessionReader final : public Reader {
 public:
  explicit SessionReader(link::Session& session) : session_{session} {}

  link::Result<std::vector<std::uint16_t>> read(link::Table table, std::uint16_t address,
                                                std::uint16_t count) override {
    return session_.read(table, address, count);
  }
  link::Result<std::vector<bool>> read_bits(link::BitTable table, std::uint16_t address,
                                            std::uint16_t count) override {
    return session_.read_bits(table, address, count);
  }
  link::Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override {
    return session_.write(address, words);
  }
  link::Result<link::DeviceObjects> identify() override { return session_.identify(); }
  [[nodiscard]] link::WireStatistics statistics() const override { return session_.statistics(); }
  link::Result<std::vector<std::uint16_t>> read_files(
      std::span<const protocol::pdu::FileRecord> groups) override {
    return session_.read_files(groups);
  }
  [[nodiscard]] link::plan::LineCost line_cost() const override;
  link::Result<void> reopen() override { return session_.reopen(); }

 private:
  link::Session& session_;
};

}  // namespace host::verify
