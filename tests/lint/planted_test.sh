#!/usr/bin/env bash
# Plants one mistake at a time in a small sound tree and asks that scripts/lint names it, and only it.
# usage: planted_test.sh PATH-OF-LINT
set -euo pipefail
lint=$1
tree=$(mktemp -d)
trap 'rm -rf "$tree"' EXIT
failures=0

put() {
  mkdir -p "$(dirname "$tree/$1")"
  cat >"$tree/$1"
}

sound_tree() {
  rm -rf "${tree:?}"/*
  put protocol/base/README.md <<<"# protocol/base"
  put protocol/base/CMakeLists.txt <<<"strapline_room(protocol/base)"
  put protocol/base/bytes.hpp <<'END'
#pragma once
#include <cstdint>
namespace protocol::base {
using Octet = std::uint8_t;
}
END
  put host/model/README.md <<<"# host/model"
  put host/model/CMakeLists.txt <<<"strapline_room(host/model SOURCES kit.cpp USES protocol/base)"
  put host/model/kit.hpp <<'END'
#pragma once
#include "protocol/base/bytes.hpp"
namespace host::model {
struct Kit {
  protocol::base::Octet address;
};
}
END
  put host/model/kit.cpp <<'END'
#include "host/model/kit.hpp"
END
  put host/verify/README.md <<<"# host/verify"
  put host/verify/CMakeLists.txt <<<"strapline_room(host/verify SOURCES judge.cpp USES host/model)"
  put host/verify/judge.hpp <<'END'
#pragma once
#include "host/model/kit.hpp"
namespace host::verify {
bool judge(const host::model::Kit& kit);
}
END
  put host/verify/judge.cpp <<'END'
#include "host/verify/judge.hpp"
END
}

# expect_complaint WHAT PLACE WORDS: lint fails, with one complaint, at that place and in those words.
expect_complaint() {
  local output status=0
  output=$("$lint" --only floors --root "$tree" 2>&1) || status=$?
  if ((status != 1)) || [[ $output != *"$2: "*"$3"* ]] || [[ $output != *"floors: 1 to mend"* ]]; then
    printf 'planted: %s\nwanted: exit code 1, and only "%s: ...%s"\ngot: exit code %d\n%s\n\n' "$1" "$2" "$3" "$status" "$output"
    failures=$((failures + 1))
  fi
  sound_tree
}

sound_tree
"$lint" --only floors --root "$tree" || {
  printf 'the sound tree should pass\n'
  failures=$((failures + 1))
}

put host/model/kit.cpp <<<$'#include "host/model/kit.hpp"\n#include "host/verify/judge.hpp"'
expect_complaint "an include of a higher floor" host/model/kit.cpp:2 "may include of our rooms only: protocol/base protocol/points"

put host/model/CMakeLists.txt <<<$'strapline_room(host/model SOURCES kit.cpp\n  USES protocol/base\n       host/verify)'
expect_complaint "a target that uses a higher floor" host/model/CMakeLists.txt:3 "host/model USES host/verify"

put host/verify/judge.cpp <<<$'#include "host/verify/judge.hpp"\n#include "protocol/base/bytes.hpp"'
expect_complaint "an include that only comes through another room" host/verify/judge.cpp:2 "add protocol/base to its USES"

put host/verify/CMakeLists.txt <<<"strapline_room(host/verify SOURCES judge.cpp USES host/model protocol/base)"
expect_complaint "a use that no include needs" host/verify/CMakeLists.txt:1 "includes nothing of it"

put host/model/kit.cpp <<<'#include "kit.hpp"'
expect_complaint "an include that doesn't start at the root" host/model/kit.cpp:1 "start at the root"

put host/model/kit.cpp <<<'#include "host/model/kid.hpp"'
expect_complaint "an include of a file that isn't there" host/model/kit.cpp:1 "no file of this tree"

put host/model/kit.cpp <<<'#include <asio.hpp>'
expect_complaint "a confined header elsewhere" host/model/kit.cpp:1 "stays in: host/link"

put host/model/kit.hpp <<<$'#pragma once\n#include <toml++/toml.h>\n#include "protocol/base/bytes.hpp"\nnamespace host::model {}'
expect_complaint "a one-file header in a header" host/model/kit.hpp:2 "for a .cpp file only"

put host/model/kit.cpp <<<'#include <toml++/toml.h>'
put host/model/panel.cpp <<<'#include <toml++/toml.h>'
expect_complaint "a one-file header in two files" host/model/panel.cpp:1 "in more than 1 file"

put host/verify/judge.cpp <<<'#include <regex>'
expect_complaint "a header that is for no room" host/verify/judge.cpp:1 "stays in no room at all"

put protocol/base/bytes.hpp <<<$'#pragma once\n#include <vector>\nnamespace protocol::base {}'
expect_complaint "a header with heap in protocol" protocol/base/bytes.hpp:2 "takes only:"

put host/model/kit.hpp <<<$'#pragma once\n#include "protocol/base/bytes.hpp"\nnamespace model {}'
expect_complaint "a namespace that doesn't spell the room" host/model/kit.hpp:1 "namespace host::model"

put host/model/kit.hpp <<<$'#include "protocol/base/bytes.hpp"\nnamespace host::model {}'
expect_complaint "a header without its guard" host/model/kit.hpp:1 "#pragma once"

{
  printf '#include "host/model/kit.hpp"\n'
  for ((line = 0; line < 450; line++)); do printf '\n'; done
} | put host/model/kit.cpp
expect_complaint "a file too long" host/model/kit.cpp:451 "450 lines at most"

rm "$tree/host/model/README.md"
expect_complaint "a room without a README" host/model/CMakeLists.txt:1 "has no README.md"

put host/model/string_util.cpp <<<'#include "host/model/kit.hpp"'
expect_complaint "a name that says nothing" host/model/string_util.cpp:1 "does not say what it owns"

put notes.txt <<<'a note'
expect_complaint "a stray file at the top" notes.txt:1 "new at the top level"

put host/model/kit.cpp <<<$'#include "host/model/kit.hpp"\n// TOD''O later'
expect_complaint "something left unfinished" host/model/kit.cpp:2 "left unfinished"

put host/model/README.md <<<'See /ho''me/someone/notes.'
expect_complaint "a path of one machine" host/model/README.md:1 "path of one machine"

((failures == 0)) || {
  printf '%d planted mistakes went unnoticed or unnamed\n' "$failures"
  exit 1
}
printf 'every planted mistake was named\n'
