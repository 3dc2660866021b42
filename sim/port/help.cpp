#include "sim/port/help.hpp"

#include <optional>
#include <string_view>

#include "sim/fault/kind.hpp"
#include "sim/port/option_table.hpp"
#include "sim/script/act.hpp"

namespace sim::port {
namespace {

constexpr std::size_t kWidth = 80;
constexpr std::size_t kTextColumn = 26;

// `text` broken at blanks into lines of at most `width`, each behind `margin`; the first one goes on behind
// `head`.
std::string laid_out(std::string_view text, std::string head, const std::string& margin) {
  std::string out;
  std::string line = std::move(head);
  bool empty = true;
  while (!text.empty()) {
    const std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(word.size() == text.size() ? word.size() : word.size() + 1);
    if (!empty && line.size() + 1 + word.size() > kWidth) {
      out += line + '\n';
      line = margin;
      empty = true;
    }
    if (!empty) line += ' ';
    line += word;
    empty = false;
  }
  return out + line + '\n';
}

std::string prose(std::string_view text) {
  return laid_out(text, "", "");
}

// A term and what it means, side by side, or below where the term is long.
std::string entry(const std::string& term, std::string_view text) {
  const std::string margin(kTextColumn, ' ');
  std::string head = "  " + term;
  if (head.size() + 2 > kTextColumn) return head + '\n' + laid_out(text, margin, margin);
  head.resize(kTextColumn, ' ');
  return laid_out(text, std::move(head), margin);
}

std::string options() {
  std::string out;
  for (const OptionGroup& group : option_groups()) {
    out += '\n' + std::string{group.title} + ":\n";
    for (const OptionSpec& spec : group.options) {
      std::string term{spec.name};
      if (!spec.argument.empty()) term += " " + std::string{spec.argument};
      std::string text{spec.help};
      if (spec.repeatable) text += " (repeatable)";
      if (!spec.preset.empty()) text += " [" + std::string{spec.preset} + "]";
      out += entry(term, text);
    }
  }
  return out;
}

std::string faults() {
  std::string out;
  std::optional<fault::Part> part;
  for (const fault::Words& words : fault::all_words()) {
    if (words.part != part) out += "\n  " + std::string{fault::heading(words.part)} + ":\n";
    part = words.part;
    std::string term{words.name};
    if (!words.argument.empty()) term += "=" + std::string{words.argument};
    out += entry("  " + term, words.does);
  }
  return "\nfaults, for --fault, scripts and the control socket:\n" + out.substr(1);
}

std::string commands() {
  std::string out = "\ncommands of the control socket, a line each, answered by \"ok\" or \"error:\":\n";
  for (const script::VerbWords& words : script::verb_words()) {
    out += entry(std::string{words.name} + (words.argument.empty() ? "" : " ") + std::string{words.argument},
                 words.help);
  }
  return out + entry("truth", "what is really so, as JSON in one line") +
         entry("seen", "what the eye sees: screen, look and when; with --seen, its picture anew") +
         entry("help", "these, in one line") + entry("unit N COMMAND", "for the N-th unit, from 1");
}

std::string exit_codes() {
  return "\nexit codes:\n" + entry("0", "the script is over, and all it expected was so") +
         entry("1", "something the script expected was not so") + entry("64", "the command line is wrong") +
         entry("65", "a kit, catalogue or script file is wrong") +
         entry("66", "there is no such file or host") +
         entry("73", "the pseudo-terminal, its link or a file can't be made") +
         entry("74", "I/O error, or the port is taken") + entry("77", "no permission") +
         entry("129, 130, 143", "ended by SIGHUP, SIGINT, SIGTERM");
}

}  // namespace

std::string help_text() {
  return "usage: strapline-sim KIT PORT... [OPTION]...\n"
         "       strapline-sim KIT --script FILE --speed max [OPTION]...\n\n" +
         prose(
             "Simulates display units: controller board, panel, light, keypad, straps and cables of a kit. It "
             "answers as a built unit does, so that verify, diagnose and people can be tried on it. What "
             "goes wrong is a cause, and readings and picture follow from it.") +
         '\n' +
         prose(
             "Where nothing else is said the unit is built right: straps that give the panel what it needs, the "
             "kit's source and settings. It has been on for ten seconds when it first answers; with --script "
             "its supply comes at 0 s of the script.") +
         options() + faults() + commands() + exit_codes() +
         "\nexamples:\n"
         "  strapline-sim stop-display --pty /tmp/unit\n"
         "  strapline-sim cab-display --pty /tmp/unit --straps BR1=2-3 --source none\n";
}

std::string version_text() {
  return "strapline-sim " STRAPLINE_VERSION "\n";
}

}  // namespace sim::port
