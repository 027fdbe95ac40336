#include "stillpoint/app/tie_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <string_view>
#include <utility>

namespace stillpoint::app {
namespace {

constexpr const char* kSeeHelp = "see stillpoint tie --help";

tl::unexpected<Error> usage(std::string what, std::string remedy = kSeeHelp) {
  return fail(ErrorCode::kUsage, std::move(what), "", std::move(remedy));
}

bool is_option(std::string_view word) {
  return word.size() > 1 && word[0] == '-' &&
         !(word[1] >= '0' && word[1] <= '9') && word[1] != '.';
}

// Takes the words one after the other.
class Walk {
 public:
  explicit Walk(const std::vector<std::string>& words) : words_(words) {}

  [[nodiscard]] bool ended() const { return at_ >= words_.size(); }

  // The option's name or a word that is none; what stands behind "=" waits for
  // value().
  std::string next() {
    const std::string& word = words_[at_++];
    const std::size_t equals = word.find('=');
    if (is_option(word) && equals != std::string::npos) {
      behind_ = word.substr(equals + 1);
      return word.substr(0, equals);
    }
    behind_.reset();
    return word;
  }

  // The whole word as typed that next() began.
  [[nodiscard]] const std::string& typed() const { return words_[at_ - 1]; }

  // The one value of an option; files do not stand behind it.
  Result<std::string> value(const std::string& option) {
    std::string out;
    if (behind_) {
      out = std::move(*behind_);
      behind_.reset();
    } else if (!ended() && !is_option(words_[at_])) {
      out = words_[at_++];
    }
    if (out.empty()) {
      return usage(option + " without its value");
    }
    if (auto lone = nothing_more(option); !lone) {
      return fail(std::move(lone.error()));
    }
    return out;
  }

  // All values up to the next option.
  std::vector<std::string> values() {
    std::vector<std::string> out;
    if (behind_) {
      out.push_back(std::move(*behind_));
      behind_.reset();
    }
    while (!ended() && !is_option(words_[at_])) {
      out.push_back(words_[at_++]);
    }
    return out;
  }

  Status nothing_more(const std::string& option) {
    if (behind_) {
      return usage(option + " takes no value");
    }
    if (!ended() && !is_option(words_[at_])) {
      return usage(
          fmt::format("'{}' stands behind {}", words_[at_], option),
          "put the observation files first; a coordinate is one word, numbers "
          "with commas between them and no blanks");
    }
    return ok();
  }

 private:
  const std::vector<std::string>& words_;
  std::size_t at_ = 0;
  std::optional<std::string> behind_;
};

Status take_one(const std::string& option,
                Walk& walk,
                std::vector<std::string>& into) {
  auto value = walk.value(option);
  if (!value) {
    return fail(std::move(value.error()));
  }
  into.push_back(std::move(*value));
  return ok();
}

Status take_motion(const std::string& option, Walk& walk, TieWords& out) {
  if (option == "--no-motion") {
    out.motions.push_back({option, ""});
    return walk.nothing_more(option);
  }
  auto value = walk.value(option);
  if (!value) {
    return fail(std::move(value.error()));
  }
  out.motions.push_back({option, std::move(*value)});
  return ok();
}

Status refuse(const std::string& option) {
  if (option == "--method") {
    return usage("tie has no --method: it always works by the phases",
                 "leave --method out; --ambiguities float keeps the integers "
                 "real numbers");
  }
  return usage("tie takes no job file", "write the options on the line");
}

// An option of `locate`, or a word that is none, goes on as it was typed.
void share(Walk& walk, TieWords& out) {
  out.shared.push_back(walk.typed());
}

Status take(const std::string& option, Walk& walk, TieWords& out) {
  constexpr std::array<std::string_view, 3> kMotions{
      "--velocity", "--plate", "--no-motion"};
  if (option == "--to") {
    out.to.push_back(walk.values());
    return out.to.back().empty() ? Status(usage("--to without a file")) : ok();
  }
  if (option == "--known") {
    return take_one(option, walk, out.known);
  }
  if (option == "--frame") {
    return take_one(option, walk, out.frames);
  }
  if (option == "--ambiguities") {
    return take_one(option, walk, out.ambiguities);
  }
  if (std::find(kMotions.begin(), kMotions.end(), option) != kMotions.end()) {
    return take_motion(option, walk, out);
  }
  if (option == "--method" || option == "--job") {
    return refuse(option);
  }
  share(walk, out);
  return ok();
}

}  // namespace

Result<TieWords> split_tie_words(const std::vector<std::string>& words) {
  TieWords out;
  Walk walk(words);
  while (!walk.ended()) {
    const std::string option = walk.next();
    if (auto taken = take(option, walk, out); !taken) {
      return fail(std::move(taken.error()));
    }
  }
  return out;
}

}  // namespace stillpoint::app
