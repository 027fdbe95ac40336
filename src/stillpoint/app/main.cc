// Finds the verb and hands the rest of the line to it.
#include <exception>
#include <new>
#include <string>
#include <vector>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/inherited.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/core/text.h"

namespace stillpoint::app {
namespace {

int unknown_verb(const std::string& word, bool json) {
  std::vector<std::string_view> names;
  names.reserve(verbs().size());
  for (const Verb& verb : verbs()) {
    names.push_back(verb.name);
  }
  Error error{ErrorCode::kUsage, "there is no verb '" + word + "'", "", ""};
  const auto near = suggest(word, names);
  error.remedy = near ? "did you mean '" + std::string(*near) + "'?"
                      : "see stillpoint --help for the verbs";
  return report_error(error, json);
}

int planned_verb(const Verb& verb, bool json) {
  return report_error(
      {ErrorCode::kUsage,
       "'" + std::string(verb.name) + "' (" + std::string(verb.does) +
           ") is planned and not in this version",
       "",
       "see stillpoint --help for what this version does"},
      json);
}

int run(std::vector<std::string> words) {
  Arguments arguments;
  arguments.json = std::erase(words, "--json") > 0;
  // Colour is never used; with this neither is any other escape sequence.
  arguments.plain = std::erase(words, "--no-color") > 0;
  if (words.empty() || words[0] == "--help" || words[0] == "help") {
    const bool exit_page = words.size() > 1 && words[1] == "exit";
    print_data(exit_page ? kHelpExit : kHelp);
    return words.empty() ? kExitUsage : kExitGood;
  }
  if (words[0] == "--version") {
    return print_data("stillpoint " STILLPOINT_VERSION "\n") ? kExitGood
                                                             : kExitSystem;
  }
  const Verb* verb = find_verb(words[0]);
  if (verb == nullptr) {
    return unknown_verb(words[0], arguments.json);
  }
  if (verb->run == nullptr) {
    return planned_verb(*verb, arguments.json);
  }
  arguments.words.assign(words.begin() + 1, words.end());
  return verb->run(arguments);
}

}  // namespace
}  // namespace stillpoint::app

int main(int argc, char** argv) {
  stillpoint::app::mend_what_was_inherited();
  try {
    return stillpoint::app::run(
        std::vector<std::string>(argv + 1, argv + argc));
  } catch (const std::bad_alloc&) {
    stillpoint::app::print_note("stillpoint: out of memory\n");
  } catch (const std::exception& e) {
    stillpoint::app::print_note(std::string("stillpoint: ") + e.what() + "\n");
  }
  return stillpoint::app::kExitSystem;
}
