#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <string>
#include <thread>

namespace tests::e2e {

/// A line over TCP in front of a unit's own that is cut once: when so many octets of answers have passed, in
/// the middle of an answer if it falls there. Who connects again finds it whole.
class CutLine {
 public:
  /// `link` is the unit's own: tcp://127.0.0.1:PORT or mbtcp://127.0.0.1:PORT.
  CutLine(std::string link, std::size_t octets_before_cut);
  ~CutLine();
  CutLine(const CutLine&) = delete;
  CutLine& operator=(const CutLine&) = delete;

  /// The same kind of link, through here.
  [[nodiscard]] const std::string& link() const { return link_; }

  /// How many have connected so far.
  [[nodiscard]] int connections() const { return connections_; }

 private:
  void carry();
  bool pass(int from, int to, bool is_answer);

  std::string link_;
  std::uint16_t unit_port_ = 0;
  std::size_t left_;
  int listener_ = -1;
  std::atomic<bool> stop_{false};
  std::atomic<int> connections_{0};
  std::thread carrier_;
};

}  // namespace tests::e2e
