#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "host/link/cancel.hpp"
#include "host/link/line_settings.hpp"
#include "host/link/link_error.hpp"
#include "host/link/simulator.hpp"
#include "host/link/trace/writer.hpp"
#include "host/link/transport.hpp"
#include "host/link/url.hpp"

namespace host::link::scan {

/// The line that is searched: which settings it can have, and opening it at each of them.
class SearchedLine {
 public:
  /// Of a link. Its simulator, if it is one, is started by prepare().
  SearchedLine(LinkUrl link, Deadline deadline, const CancelToken& cancel);
  /// Of whatever `opener` opens.
  using Opener = std::function<Result<Transport>(const LineSettings& line)>;
  SearchedLine(std::vector<LineSettings> settings, Opener opener, Deadline deadline,
               const CancelToken& cancel);

  /// Errors   kBadLink for a trace; those of Simulator::start().
  [[nodiscard]] Result<void> prepare(const std::filesystem::path& catalog);

  /// The most probable first; one where there is no choice.
  [[nodiscard]] const std::vector<LineSettings>& settings() const { return settings_; }

  /// Opens it at settings()[`setting`], written to `trace` unless that is null. Errors   open_transport().
  [[nodiscard]] Result<Transport> open(std::size_t setting, trace::Writer* trace);

  /// An error of this line; of a simulator that ended, what it said.
  [[nodiscard]] LinkError explained(LinkError error);

  /// As messages name it at the settings of `way`: "/dev/ttyUSB0 at 115200 Bd 8E1".
  [[nodiscard]] std::string place(const Transport& way) const;
  /// The link by which a command gets there: "serial:/dev/ttyUSB0?baud=115200&parity=even&stop=1".
  [[nodiscard]] std::string link_text(const Transport& way) const;

 private:
  LinkUrl link_;
  Deadline deadline_;
  const CancelToken& cancel_;
  std::optional<Simulator> simulator_;
  Opener opener_;
  std::vector<LineSettings> settings_;
};

}  // namespace host::link::scan
