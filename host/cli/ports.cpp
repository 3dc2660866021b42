#include "host/cli/commands.hpp"
#include "host/link/system_ports.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"

namespace host::cli {
namespace {

using link::SystemPort;
using report::json::Value;
using Holders = std::vector<link::PortHolder>;

std::string named(const link::PortHolder& holder) {
  return (holder.program.empty() ? std::string{"a program"} : report::cleaned(holder.program)) +
         " (process " + std::to_string(holder.pid) + ")";
}

void add_line(std::string& out, std::string_view name, const std::string& text) {
  if (!text.empty()) out.append("  ").append(name).append(18 - name.size(), ' ').append(text).append("\n");
}

std::string text_of(const SystemPort& port, const Holders& holders) {
  std::string out = report::cleaned(port.path) + "\n";
  add_line(out, "lasting name", report::cleaned(port.by_id));
  add_line(out, "driver", report::cleaned(port.driver));
  add_line(out, "adapter", report::cleaned(port.product));
  add_line(out, "USB serial number", report::cleaned(port.usb_serial));
  if (port.latency_timer_ms) {
    const bool slow = *port.latency_timer_ms > 1;
    add_line(out, "holds octets for",
             std::to_string(*port.latency_timer_ms) + " ms" +
                 (slow ? "; opening it asks for 1 ms, a udev rule sets that for good" : ""));
  }
  std::string users;
  for (const auto& holder : holders) users += (users.empty() ? "" : ", ") + named(holder);
  add_line(out, "in use by", users);
  return out;
}

Value json_of(const SystemPort& port, const Holders& holders) {
  Value one;
  one.set("path", port.path);
  const auto add = [&](const char* key, const std::string& text) {
    if (!text.empty()) one.set(key, text);
  };
  add("by_id", port.by_id);
  add("driver", port.driver);
  add("product", port.product);
  add("usb_serial", port.usb_serial);
  if (port.latency_timer_ms) one.set("latency_timer_ms", static_cast<std::int64_t>(*port.latency_timer_ms));
  Value::Array users;
  for (const auto& holder : holders) {
    Value user;
    user.set("pid", static_cast<std::int64_t>(holder.pid));
    user.set("program", holder.program);
    users.push_back(std::move(user));
  }
  one.set("in_use_by", std::move(users));
  return one;
}

}  // namespace

tl::expected<ExitCode, Failure> run_ports(const PortsRequest& request, const Context&) {
  const auto ports = link::system_ports();
  Value::Array list;
  std::string text;
  for (const auto& port : ports) {
    const Holders holders = link::port_holders(port.path);
    list.push_back(json_of(port, holders));
    text += (text.empty() ? "" : "\n") + text_of(port, holders);
  }
  if (ports.empty()) {
    text =
        "This machine shows no serial port. Plug the adapter in; dmesg then tells whether the system knows it.\n";
  }
  Value document;
  document.set("schema", "strapline/ports/1");
  document.set("ports", std::move(list));
  if (const auto written = answer(request.json ? write(document) : text); !written) {
    return tl::unexpected{written.error()};
  }
  return ports.empty() ? ExitCode::kFail : ExitCode::kPass;
}

}  // namespace host::cli
