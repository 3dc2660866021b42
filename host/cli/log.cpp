// Header mode: a shared spdlog and fmt would cost a quarter of a millisecond at each start.
#define FMT_HEADER_ONLY
#include "host/cli/log.hpp"

#include <cerrno>
#include <cstring>
#include <memory>
#include <utility>

#include <spdlog/logger.h>
#include <spdlog/sinks/basic_file_sink.h>
#include <spdlog/sinks/stdout_sinks.h>

#include "host/cli/output.hpp"
#include "host/link/trace/ordinary_file.hpp"
#include "host/report/document.hpp"

namespace host::cli {
namespace {

std::unique_ptr<spdlog::logger>& logger() {
  static std::unique_ptr<spdlog::logger> instance;
  return instance;
}

spdlog::level::level_enum level_of(LogLevel level) {
  switch (level) {
    case LogLevel::kDebug: return spdlog::level::debug;
    case LogLevel::kInfo: return spdlog::level::info;
    case LogLevel::kWarning: return spdlog::level::warn;
    case LogLevel::kError: return spdlog::level::err;
    case LogLevel::kOff: break;
  }
  return spdlog::level::off;
}

// A log that can't be written disturbs nobody: one plain line, the first time.
void tell_once(const std::string& what) {
  static bool told = false;
  if (!std::exchange(told, true)) complain({ExitCode::kInputOutput, {"--log-file: " + what}});
}

}  // namespace

std::optional<LogLevel> log_level(std::string_view word) {
  if (word == "debug") return LogLevel::kDebug;
  if (word == "info") return LogLevel::kInfo;
  if (word == "warning") return LogLevel::kWarning;
  if (word == "error") return LogLevel::kError;
  if (word == "off") return LogLevel::kOff;
  return std::nullopt;
}

tl::expected<void, std::string> start_log(const LogSettings& settings) {
  try {
    spdlog::sink_ptr sink;
    if (settings.path.empty()) {
      sink = std::make_shared<spdlog::sinks::stderr_sink_st>();
    } else {
      // The sink would make the folders as well, where a mistyped path is to be told; and it would wait for a
      // pipe's reader, or talk to a port.
      const auto file = link::trace::open_ordinary(settings.path, link::trace::FileUse::kAppend);
      if (!file) {
        return tl::unexpected{"--log-file: " + file.error().message + "; " + way_out(file.error().reason)};
      }
      sink = std::make_shared<spdlog::sinks::basic_file_sink_st>(settings.path, false);
    }
    auto made = std::make_unique<spdlog::logger>("strapline", std::move(sink));
    made->set_level(level_of(settings.level));
    made->flush_on(spdlog::level::trace);
    made->set_error_handler([path = settings.path](const std::string&) {
      const int why = errno;
      tell_once("can't write " + path + ": " + std::strerror(why) + "; " + way_out(why));
    });
    made->set_formatter(std::make_unique<spdlog::pattern_formatter>("%Y-%m-%dT%H:%M:%S.%eZ %-7l %v",
                                                                    spdlog::pattern_time_type::utc));
    logger() = std::move(made);
  } catch (const spdlog::spdlog_ex& error) {
    return tl::unexpected{"--log-file: can't write " + settings.path + ": " + error.what()};
  }
  return {};
}

void log(LogLevel level, std::string_view text) {
  if (logger() == nullptr || !logger()->should_log(level_of(level))) return;
  const std::string clean = report::cleaned(text);
  logger()->log(level_of(level), spdlog::string_view_t{clean.data(), clean.size()});
}

}  // namespace host::cli
