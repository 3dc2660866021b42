#pragma once

#include <optional>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace host::cli {

enum class LogLevel { kDebug, kInfo, kWarning, kError, kOff };

/// "debug", "info", "warning", "error", "off".
[[nodiscard]] std::optional<LogLevel> log_level(std::string_view word);

struct LogSettings {
  LogLevel level = LogLevel::kWarning;
  std::string path;  // appended to; empty: standard error
};

/// The program's log: what it did on the way, never an answer. Synchronous, each line flushed.
///
/// Shape   2026-03-01T09:30:00.125Z info  words
/// Errors  the file can't be opened, or is no ordinary one: one sentence (exit 73).
[[nodiscard]] tl::expected<void, std::string> start_log(const LogSettings& settings);

/// Writes one line, cleaned of what a device may have put into it. Nothing before start_log().
void log(LogLevel level, std::string_view text);

}  // namespace host::cli
