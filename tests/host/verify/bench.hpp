#pragma once

#include <cstdint>
#include <string_view>

#include "host/expect/expectation.hpp"
#include "host/model/kit.hpp"
#include "host/verify/judgement.hpp"
#include "host/verify/snapshot.hpp"

/// A unit on the bench: a kit and its expectation made by hand, and a snapshot in which all is well.
///
///   strap  kind        sensed as         function        wanted
///   BR1    3 pins      live, word 0      panel-supply    1-2 (3.3 V); 2-3 is 5 V
///   BR4    3 pins      at reset, word 1  light-supply    2-3 (12 V); 1-2 is 5 V
///   BR3    2 pins      live, word 2      bit-mapping     jointly with S2: jeida-24 at open and 1x, or at
///   S2     2 switches  live, word 3                      1-2 and 11; 1-2 with anything else is undefined
///   BR5    2 pins      not               keypad-power    1-2 (on); seen at the keypad rail
///   BR7    2 pins      not               scan-direction  open; nothing tells, the kit takes a person's word
///   BR9    2 pins      live, word 4      raster-row      not used by this kit
struct Bench {
  host::model::Kit kit;
  host::expect::Expectation expectation;
  host::verify::Snapshot snapshot;
  host::verify::Demands demands;

  Bench();

  /// Sets what a point reads.
  void read(protocol::points::Point point, std::int64_t number);
  void read_text(protocol::points::Point point, std::string_view text);
  void unread(protocol::points::Point point, protocol::points::Unread why);

  /// Sets what the unit senses of a strap, by its id; and what a person says.
  void sense(std::string_view strap, std::uint16_t word);
  void attest(std::string_view strap, std::uint16_t bits);

  [[nodiscard]] host::expect::ExpectedPoint& expected(protocol::points::Point point);
  [[nodiscard]] host::expect::ExpectedFunction& expected(host::model::FunctionId id);
  [[nodiscard]] host::verify::Judgement judge() const;
};

/// The item of that subject; fails the test when there is none.
[[nodiscard]] const host::verify::Item& item_of(const host::verify::Judgement& judgement,
                                                std::string_view subject);

/// The finding about that subject, or nullptr.
[[nodiscard]] const host::model::Finding* finding_of(const host::verify::Judgement& judgement,
                                                     std::string_view subject);
