#pragma once

#include <cstdint>
#include <cstdio>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "host/cli/exit_code.hpp"
#include "host/cli/signals.hpp"

namespace host::cli {

/// Why the program ends without an answer.
struct Failure {
  ExitCode code = ExitCode::kOurs;
  std::vector<std::string> messages;  // each a sentence, or a place in a file with the line it is in
};

/// Makes sure that descriptors 0, 1 and 2 are open, before any other file is: a serial port opened in the
/// place of a closed standard output would be sent the answer. A pipe whose reader has gone becomes an error,
/// not a signal. Returns  whether standard output was open.
[[nodiscard]] bool settle_standard_streams();

/// Writes an answer to standard output and makes sure that it has left. A signal while it doesn't go on
/// leaving ends it: whoever asked the command to end waits for no reader. Errors  kInputOutput with the
/// reason; 128 + signal without a word.
[[nodiscard]] tl::expected<void, Failure> answer(std::string_view text);

/// Octets as the text that answer() and PendingFile write.
[[nodiscard]] std::string octets_text(std::span<const std::uint8_t> octets);

/// Writes complaints to standard error, "strapline: …" each. A word of more than 200 octets loses its middle,
/// a line what is behind 2000.
void complain(const Failure& failure);

/// What lets a file be written that couldn't be, by the errno of it.
[[nodiscard]] std::string way_out(int error);

/// An output file that is there whole or not at all: written beside its place and renamed into it. Of a
/// symbolic link the place is the file it leads to, and the link stays; a file that was there leaves its mode
/// to the new one. What was not committed is removed, by a signal that ends the program as well.
class PendingFile {
 public:
  /// Opens the file beside `path`, so that what can't be created is known before the work begins.
  /// Errors  kCantCreate with the reason; a folder or a device is never replaced.
  [[nodiscard]] static tl::expected<PendingFile, Failure> create(const std::string& path);

  /// Writes `text`, flushes it to the disk and puts the file into its place.
  /// Errors  kInputOutput (the disk is full), kCantCreate (the place can't be taken).
  [[nodiscard]] tl::expected<void, Failure> commit(std::string_view text);

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  PendingFile() = default;

  std::unique_ptr<std::FILE, Close> file_;
  std::string path_;   // as it was given
  std::string place_;  // at the end of its links
  std::unique_ptr<PassingFile> beside_;
};

}  // namespace host::cli
