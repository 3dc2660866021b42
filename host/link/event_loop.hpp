#pragma once

#include <memory>

namespace asio {
class io_context;
}

namespace host::link {

/// The one io_context of a program, one thread long. Here so that Asio's headers stay out of other rooms.
class EventLoop {
 public:
  EventLoop();
  ~EventLoop();
  EventLoop(const EventLoop&) = delete;
  EventLoop& operator=(const EventLoop&) = delete;

  [[nodiscard]] asio::io_context& context() { return *context_; }

 private:
  std::unique_ptr<asio::io_context> context_;
};

}  // namespace host::link
