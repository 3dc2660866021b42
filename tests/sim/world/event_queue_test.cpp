#include "sim/world/event_queue.hpp"

#include <string>

#include <doctest/doctest.h>

using protocol::base::milliseconds;
using sim::world::EventQueue;
using sim::world::Instant;

TEST_SUITE("sim/world/event_queue") {
  TEST_CASE("events come in the order of their time, those of one instant in the order they were scheduled") {
    EventQueue<char> queue;
    queue.schedule(Instant{milliseconds(20)}, 'c');
    queue.schedule(Instant{milliseconds(10)}, 'a');
    queue.schedule(Instant{milliseconds(20)}, 'd');
    queue.schedule(Instant{milliseconds(10)}, 'b');

    std::string order;
    while (const auto event = queue.pop(Instant{milliseconds(20)})) order += *event;
    CHECK(order == "abcd");
  }

  TEST_CASE("an event is not due a microsecond before its time") {
    EventQueue<int> queue;
    const Instant at{milliseconds(5)};
    queue.schedule(at, 1);
    CHECK(queue.next() == at);
    CHECK_FALSE(queue.pop(at - protocol::base::microseconds(1)));
    CHECK(queue.pop(at) == 1);
    CHECK_FALSE(queue.next());
  }
}
