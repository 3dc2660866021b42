# Checks includes against floors.txt and against the USES of each room's CMakeLists.txt.
# Input, each part announced by a `phase=` operand: list (every file of the tree), table (floors.txt),
# cmake (CMakeLists.txt files), source (C++ files). Complaints go to standard output, one a line.

function complain(where, what) {
  print where ": " what
}

function directory_of(path) {
  return path ~ /\// ? substr(path, 1, match(path, /\/[^\/]*$/) - 1) : ""
}

# "host/report/json" stands where "host/report" stands.
function floor_room(room,    part) {
  split(room, part, "/")
  return part[1] "/" part[2]
}

function building(room,    part) {
  split(room, part, "/")
  return part[1]
}

# The innermost declared room that holds the file, else building/room by the path.
function room_of(path,    dir) {
  for (dir = directory_of(path); dir ~ /\//; dir = directory_of(dir))
    if (dir in declared) return dir
  return floor_room(path)
}

function covers(entry, room) {
  return room == entry || index(room, entry "/") == 1
}

# Does one of the blank-separated entries cover the room?
function any_covers(entries, room,    part, n, i) {
  n = split(entries, part, " ")
  for (i = 1; i <= n; i++)
    if (covers(part[i], room)) return 1
  return 0
}

function may_include(from, to,    entry) {
  if (floor_room(from) == floor_room(to)) return 1
  if (building(from) == building(to)) return floor[floor_room(to)] < floor[floor_room(from)]
  for (entry in also)
    if (covers(entry, from) && any_covers(also[entry], to)) return 1
  return 0
}

function allowed_for(from,    room, entry, text, i) {
  for (i = 1; i <= room_count; i++) {
    room = room_at[i]
    if (room != floor_room(from) && building(room) == building(from) && may_include(from, room)) text = text " " room
  }
  for (entry in also)
    if (covers(entry, from)) text = text " " also[entry]
  return text == "" ? " none" : text
}

function header_matches(pattern, header) {
  return pattern ~ /\/$/ ? index(header, pattern) == 1 : header == pattern
}

phase == "list" {
  exists[$0] = 1
  next
}

phase == "table" {
  sub(/#.*/, "")
  if (NF == 0) next
  if ($1 == "floor") {
    floors++
    for (i = 3; i <= NF; i++) {
      floor[$2 "/" $i] = floors
      room_at[++room_count] = $2 "/" $i
    }
  } else if ($1 == "data") {
    data[$2] = 1
  } else {
    key = $2
    rest = $0
    sub(/^[ \t]*[^ \t]+[ \t]+[^ \t]+[ \t]*/, "", rest)
    sub(/[ \t]+$/, "", rest)
    if ($1 == "also") also[key] = also[key] rest " "
    else if ($1 == "permit") permit[key] = permit[key] " " rest
    else if ($1 == "confine") {
      count[key] = $3
      sub(/^[^ \t]+[ \t]*/, "", rest)
      confine[key] = rest
    } else complain(FILENAME ":" FNR, "unknown word \"" $1 "\"; floor, data, also, permit or confine is meant")
  }
  next
}

phase == "cmake" {
  if (FNR == 1) {
    call = ""
    here = directory_of(FILENAME)
    sub(/^\.\//, "", here)
  }
  sub(/#.*/, "")
  gsub(/\(/, " ( ")
  gsub(/\)/, " ) ")
  for (i = 1; i <= NF; i++) {
    if ($i == "strapline_room" || $i == "strapline_program") {
      call = $i
      word = ""
      arguments = 0
    } else if (call == "" || $i == "(") {
      continue
    } else if ($i == ")") {
      call = ""
    } else if (++arguments == 1) {
      if (call == "strapline_room") {
        declared[$i] = FILENAME ":" FNR
        if ($i != here) complain(FILENAME ":" FNR, "declares the room " $i " in the folder " here "; a room is called as its folder")
        if (!(floor_room($i) in floor))
          complain(FILENAME ":" FNR, $i " stands on no floor; give it one in scripts/lint.d/floors.txt")
      }
    } else if ($i ~ /^[A-Z]+$/) {
      word = $i
    } else if (word == "USES") {
      uses[here, $i] = FILENAME ":" FNR
    }
  }
  next
}

phase == "source" {
  if (FNR == 1) {
    finish_file()
    path = FILENAME
    sub(/^\.\//, "", path)
    room = room_of(path)
    in_tests = building(room) == "tests"
    guarded = named = 0
    namespace = room
    gsub(/\//, "::", namespace)
    if (!in_tests && (room in data)) complain(path ":1", room " holds data only; code that reads it belongs to another room")
  }
  lines = FNR
  if ($0 ~ /^#pragma once/) guarded = 1
  if ($0 ~ /^(inline )?namespace / && index($0, namespace)) named = 1
  if ($0 !~ /^[ \t]*#[ \t]*include[ \t]*["<]/) next

  where = path ":" FNR
  quoted = $0 ~ /include[ \t]*"/
  header = $0
  sub(/^[^"<]*["<]/, "", header)
  sub(/[">].*/, "", header)

  if (header ~ /^(host|protocol|sim|tests)\//) {
    if (!quoted) {
      complain(where, "<" header "> is ours; write \"" header "\"")
      next
    }
    if (!(header in exists)) {
      complain(where, "\"" header "\" is no file of this tree; a path from the root is meant")
      next
    }
    if (in_tests) next
    target = room_of(header)
    if (target == room) next
    used[room, target] = 1
    if (!may_include(room, target))
      complain(where, room " includes " header ", but may include of our rooms only:" allowed_for(room))
    else if (!((room, target) in uses) && !((directory_of(path), target) in uses))
      complain(where, "includes " header ", but " room "/CMakeLists.txt doesn't name it; add " target " to its USES")
    next
  }
  if (quoted) {
    complain(where, "\"" header "\" doesn't start at the root; ours are written as \"protocol/rtu/crc.hpp\", others as <...>")
    next
  }

  for (pattern in confine) {
    if (!header_matches(pattern, header)) continue
    if (in_tests && confine[pattern] != "") continue
    if (!any_covers(confine[pattern], room)) {
      complain(where, "<" header "> stays in" (confine[pattern] == "" ? " no room at all" : ": " confine[pattern]) "; see scripts/lint.d/floors.txt")
    } else if (count[pattern] != "any") {
      if (path !~ /\.cpp$/) complain(where, "<" header "> is for a .cpp file only; a header would spread it")
      else if (!((pattern, path) in counted)) {
        counted[pattern, path] = 1
        if (++in_room[pattern, room] > count[pattern])
          complain(where, "<" header "> is in more than " count[pattern] " file of " room "; one file there wraps it for the rest")
      }
    }
  }

  allowed = ""
  for (entry in permit)
    if (covers(entry, room)) allowed = allowed permit[entry] " "
  if (!in_tests && allowed != "" && index(allowed " ", " " header " ") == 0)
    complain(where, "<" header "> isn't for " room ", which takes only:" allowed)
}

function finish_file() {
  if (path == "") return
  if (lines > 450) complain(path ":" lines, lines " lines; a file holds one idea, in 450 lines at most")
  if (path ~ /\.hpp$/ && !guarded) complain(path ":1", "lacks #pragma once")
  if (path ~ /\.hpp$/ && !in_tests && !named) complain(path ":1", "opens no namespace " namespace ", which spells its room")
}

END {
  finish_file()
  for (key in uses) {
    split(key, pair, SUBSEP)
    if (!(pair[2] in declared)) {
      complain(uses[key], "USES " pair[2] ", which is no room of this tree")
      continue
    }
    if (building(pair[1]) == "tests") continue
    if (pair[1] == pair[2]) continue  # a program that stands in the folder of its room
    if (!may_include(pair[1], pair[2]))
      complain(uses[key], pair[1] " USES " pair[2] ", but may use of our rooms only:" allowed_for(pair[1]))
    else if (!((pair[1], pair[2]) in used))
      complain(uses[key], pair[1] " USES " pair[2] " and includes nothing of it; take it out")
  }
  for (room in declared)
    if (!((room "/README.md") in exists)) complain(declared[room], room " has no README.md")
}
