#include "tests/fuzz/promises.hpp"

#include <algorithm>

#include "host/expect/document.hpp"
#include "host/expect/expectation.hpp"
#include "host/model/source_file.hpp"
#include "tests/fuzz/target.hpp"

namespace tests::fuzz {

bool is_one_clean_line(std::string_view text) {
  return host::model::clean(text) == text;
}

void hold_errors(const host::model::FileErrors& errors, std::string_view text) {
  must(!errors.empty(), "who refuses a file says why");
  const auto lines = std::count(text.begin(), text.end(), '\n') + 1;
  for (const host::model::FileError& error : errors) {
    must(error.place.line >= 0 && error.place.line <= lines, "an error stands in a line of the file");
    must(error.place.column >= 0 && static_cast<std::size_t>(error.place.column) <= text.size() + 1,
         "and in a column");
    must(!error.what.empty(), "an error says what is wrong");
    must(is_one_clean_line(error.what) && is_one_clean_line(error.remedy) &&
             is_one_clean_line(error.line_text),
         "an error is one line without control characters");
    must(!to_text(error).empty(), "an error can be printed");
  }
}

void hold_on_paper(const host::model::Kit& kit) {
  const auto expectation = host::expect::derive(kit);
  if (!expectation) {
    must(!expectation.error().empty(), "who can't derive says why");
    return;
  }
  const host::expect::JointPosition given;
  const auto judgement = host::expect::judge_on_paper(kit, *expectation, given);
  must(judgement.fails || !judgement.danger, "a danger fails");
  std::string shown = to_text(host::expect::to_document(kit, *expectation, given), {});
  std::replace(shown.begin(), shown.end(), '\n', ' ');
  must(is_one_clean_line(shown), "what is shown holds no control characters");
  must(write(host::expect::to_json(kit, *expectation, given)).starts_with("{"),
       "and there is a document of it");
}

}  // namespace tests::fuzz
