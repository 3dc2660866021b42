#pragma once

#include "tests/fuzz/target.hpp"

/// What each target reads, and what its input looks like. The promises stand beside the code that holds them.
namespace tests::fuzz {

/// Octets of a serial line, taken as the beginning of a request and of an answer, and cut to frames.
void framer(Octets input);

/// A server's line: an octet of settings, then commands of server.cpp.
void server(Octets input);

/// What a client's peer says: an octet of settings, then operations and what comes back, by client.cpp.
void client(Octets input);

/// A TCP stream of Modbus frames; its first octet is the size of the pieces it comes in.
void mbap(Octets input);

/// A pcapng file.
void trace(Octets input);

// One file of the catalogue each.
void panels(Octets input);
void boards(Octets input);
void cables(Octets input);
void supplies(Octets input);
void keypads(Octets input);
void kits(Octets input);

/// An EDID's bytes.
void edid(Octets input);

/// A file that holds an EDID, as bytes or as text.
void edid_file(Octets input);

/// A script of the simulator.
void script(Octets input);

/// A fault as it stands behind --fault, or one quantity.
void fault(Octets input);

/// Lines at the simulator's control socket.
void control(Octets input);

/// A unit's memory as the simulator keeps it.
void memory(Octets input);

/// A document of verify, as JSON.
void snapshot(Octets input);

}  // namespace tests::fuzz
