# Reads the call graphs that gcc writes with -fcallgraph-info=su (.ci) and prints the deepest stack below `root`, a
# function's name as the linker knows it, and the way there. A call through a table of functions leads to
# `indirect` octets. What each file may have a copy of (a template's functions) stands there under its file's name.
# Ends 1 when a size is unknown, a frame isn't of fixed size or the calls go in a circle.
#
# awk -v root=NAME [-v indirect=OCTETS] -f stack.awk FILE.ci...

function field(line, name,    at, rest) {
  at = index(line, name ": \"")
  if (!at) return ""
  rest = substr(line, at + length(name) + 3)
  return substr(rest, 1, index(rest, "\"") - 1)
}

/^node:/ {
  title = field($0, "title")
  label = field($0, "label")
  if (match(label, /[0-9]+ bytes \([a-z,]+\)/)) {
    text = substr(label, RSTART, RLENGTH)
    if (text !~ /\(static\)/) trouble = "the frame of " title " has no fixed size"
    size[title] = text + 0
    if (title ~ /:/) copy[substr(title, index(title, ":") + 1)] = title
  }
}

/^edge:/ { called[field($0, "sourcename")] = called[field($0, "sourcename")] SUBSEP field($0, "targetname") }

# Its own, else a file's copy of it.
function known(name) { return name in size || !(name in copy) ? name : copy[name] }

function deepest(name,    list, count, i, below, most, way) {
  if (name in depth) return depth[name]
  if (name == "__indirect_call") return indirect + 0
  if (!(name in size)) {
    # What the compiler calls by itself is a leaf of the platform, named in the report.
    if (name !~ /^(mem(cpy|move|set|cmp)|__gnu_thumb1_case_.*)$/) trouble = "nothing is known of " name
    return 0
  }
  if (name in open) {
    trouble = name " calls itself"
    return 0
  }
  open[name] = 1
  count = split(called[name], list, SUBSEP)
  for (i = 2; i <= count; ++i) {
    list[i] = known(list[i])
    below = deepest(list[i])
    if (below > most) {
      most = below
      way = list[i]
    }
  }
  delete open[name]
  next_of[name] = way
  return depth[name] = size[name] + most
}

END {
  if (!(root in size)) trouble = "there is no " root
  total = deepest(root)
  if (trouble != "") {
    print trouble > "/dev/stderr"
    exit 1
  }
  print total
  for (name = root; name != ""; name = next_of[name]) print name, size[name] + 0
}
