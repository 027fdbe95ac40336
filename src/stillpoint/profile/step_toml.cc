#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "stillpoint/profile/packet_toml.h"
#include "stillpoint/profile/profile_tables.h"
#include "stillpoint/profile/template.h"

namespace stillpoint::profile {
namespace {

constexpr std::size_t kMostSteps = 64;
constexpr std::size_t kMostName = 60;
constexpr std::size_t kMostReply = 200;
constexpr std::uint64_t kMostTries = 20;
constexpr double kLongestWaitS = 60;
constexpr unsigned kUsualTries = 3;

constexpr std::array<KeyRule, 17> kStepRules = {{
    {"name", true, "name = \"an epoch every second\""},
    {"text", false, "text = \"$PSPD,RATE,1000\""},
    {"hex", false, "hex = \"9E C4 10 00 {length} E8 03\""},
    {"line_end", false, "line_end = \"crlf\""},
    {"framing", false, "framing = \"SPDEMO\""},
    {"checksum", false, "checksum = \"nmea\""},
    {"checksum_start", false, "checksum_start = 0xFFFF"},
    {"checksum_from", false, "checksum_from = 2"},
    {"checksum_order", false, "checksum_order = \"little\""},
    {"reply", false, "reply = \"$PSPD,DONE,RATE\""},
    {"reply_hex", false, "reply_hex = \"9E C4 A0 ?? 01 00 10\""},
    {"refusal", false, "refusal = \"$PSPD,NO,RATE\""},
    {"refusal_hex", false, "refusal_hex = \"9E C4 A1 ?? 02 00 10\""},
    {"tries", false, "tries = 3"},
    {"reply_within_s", false, "reply_within_s = 2"},
    {"pause_s", false, "pause_s = 0.5"},
    {"optional", false, "optional = true"},
}};

constexpr std::array<std::string_view, 2> kTextChecksums = {"none", "nmea"};
constexpr std::array<std::string_view, 4> kLineEnds = {
    "crlf", "lf", "cr", "none"};
constexpr std::array<const char*, 4> kLineEndBytes = {"\r\n", "\n", "\r", ""};

bool is_readable(std::string_view text, std::size_t most) {
  return !text.empty() && text.size() <= most &&
         std::all_of(text.begin(), text.end(), [](char c) {
           return c >= ' ' && c <= '~';
         });
}

void refuse_keys(TableReader& reader,
                 std::initializer_list<std::string_view> keys,
                 std::string_view why) {
  for (const std::string_view key : keys) {
    if (reader.has(key)) {
      reader.wrong(key, why, "leave it out");
    }
  }
}

bool is_sentence_start(const Piece& first) {
  return !first.bytes.empty() &&
         (first.bytes.front() == '$' || first.bytes.front() == '!');
}

void read_text(TableReader& reader, Step& step) {
  step.is_text = true;
  refuse_keys(reader,
              {"framing", "checksum_start", "checksum_from", "checksum_order"},
              "(given); only a step with hex looks at it");
  if (const auto text = reader.text("text")) {
    auto pieces = parse_text_template(*text);
    if (pieces) {
      step.pieces = std::move(*pieces);
    } else {
      reader.wrong_value("text", pieces.error().what, pieces.error().remedy);
    }
  }
  step.line_end = kLineEndBytes[reader.word("line_end", kLineEnds).value_or(0)];
  step.is_sentence = reader.word("checksum", kTextChecksums) == 1U;
  if (step.is_sentence && !step.pieces.empty() &&
      !is_sentence_start(step.pieces.front())) {
    reader.wrong_value("text",
                       "checksum \"nmea\" counts from behind a '$' or '!', "
                       "with which the text begins",
                       "write it like text = \"$PSPD,RATE,1000\"");
  }
}

std::optional<ReplyPattern> read_pattern(TableReader& reader,
                                         std::string_view text_key,
                                         std::string_view hex_key) {
  ReplyPattern pattern;
  if (reader.has(text_key) && reader.has(hex_key)) {
    reader.wrong(hex_key,
                 "(given) beside " + std::string(text_key) +
                     "; a reply is one of the two",
                 "leave one of them out");
    return std::nullopt;
  }
  if (auto text = reader.text(text_key)) {
    if (!is_readable(*text, kMostReply)) {
      reader.wrong_value(text_key, "1 .. 200 letters of ASCII");
      return std::nullopt;
    }
    pattern.line_begin = std::move(*text);
  }
  if (const auto text = reader.text(hex_key)) {
    auto bytes = parse_hex_pattern(*text);
    if (!bytes) {
      reader.wrong_value(hex_key, bytes.error().what, bytes.error().remedy);
      return std::nullopt;
    }
    pattern.bytes = std::move(*bytes);
  }
  return pattern;
}

// Whether all that the one fits the other fits too, so that the other never
// has its turn.
bool hides(const ReplyPattern& refusal, const ReplyPattern& reply) {
  if (!refusal.line_begin.empty()) {
    return reply.line_begin.starts_with(refusal.line_begin);
  }
  return !refusal.empty() && refusal.bytes.size() <= reply.bytes.size() &&
         std::equal(refusal.bytes.begin(),
                    refusal.bytes.end(),
                    reply.bytes.begin(),
                    [](const auto& a, const auto& b) { return !a || a == b; });
}

void read_replies(TableReader& reader, Step& step) {
  auto reply = read_pattern(reader, "reply", "reply_hex");
  auto refusal = read_pattern(reader, "refusal", "refusal_hex");
  if (!reply || !refusal) {
    return;
  }
  step.reply = std::move(*reply);
  step.refusal = std::move(*refusal);
  const char* const key =
      step.refusal.line_begin.empty() ? "refusal_hex" : "refusal";
  if (!step.refusal.empty() && hides(step.refusal, step.reply)) {
    reader.wrong_value(key,
                       "every reply begins like this refusal",
                       "give as much of the two as tells one from the other");
  }
  const bool has_wrong_text =  // said above
      (reader.has("reply") && step.reply.line_begin.empty()) ||
      (reader.has("reply_hex") && step.reply.bytes.empty());
  if (step.reply.empty() && !has_wrong_text) {
    refuse_keys(reader,
                {"refusal", "refusal_hex", "tries", "reply_within_s"},
                "(given); without reply or reply_hex nothing is waited for");
  }
}

void read_times(TableReader& reader, Step& step) {
  const unsigned usual = step.reply.empty() ? 1 : kUsualTries;
  step.tries =
      static_cast<unsigned>(reader.number("tries", kMostTries).value_or(usual));
  if (step.tries == 0) {
    reader.wrong_value("tries", "a whole number 1 .. 20");
  }
  step.reply_within_s = reader.seconds("reply_within_s", kLongestWaitS)
                            .value_or(step.reply_within_s);
  if (step.reply_within_s <= 0) {
    reader.wrong_value("reply_within_s", "a number of seconds above 0");
  }
  step.pause_s = reader.seconds("pause_s", kLongestWaitS).value_or(0);
  step.optional = reader.flag("optional").value_or(false);
}

Step read_step(const toml::table& table,
               std::span<const MakerFraming> framings,
               Mistakes& mistakes) {
  TableReader reader(table, "[[step]]", kStepRules, mistakes);
  Step step;
  step.place = reader.place();
  if (auto name = reader.text("name")) {
    step.name = std::move(*name);
    if (!is_readable(step.name, kMostName)) {
      reader.wrong_value("name", "1 .. 60 letters of ASCII");
    }
  }
  if (reader.has("text") == reader.has("hex")) {
    mistakes.add(table.source(),
                 reader.has("text") ? "[[step]] with text and hex"
                                    : "[[step]] with neither text nor hex",
                 "give one of them, such as text = \"$PSPD,RATE,1000\"");
  } else if (reader.has("text")) {
    read_text(reader, step);
  } else {
    refuse_keys(
        reader, {"line_end"}, "(given); only a step with text looks at it");
    read_packet(reader, framings, step);
  }
  read_replies(reader, step);
  read_times(reader, step);
  return step;
}

}  // namespace

std::vector<Step> read_steps(const toml::node& node,
                             std::span<const MakerFraming> framings,
                             Mistakes& mistakes) {
  std::vector<Step> steps;
  const toml::array* list = node.as_array();
  if (list == nullptr || list->size() > kMostSteps) {
    mistakes.add(node.source(),
                 "step; allowed are up to 64 tables [[step]]",
                 "write [[step]], in double brackets, above each");
    return steps;
  }
  std::set<std::string> names;
  for (const toml::node& item : *list) {
    const toml::table* table = item.as_table();
    if (table == nullptr) {
      mistakes.add(item.source(),
                   "step; allowed are only tables in this list",
                   "write [[step]], in double brackets, above each");
      continue;
    }
    steps.push_back(read_step(*table, framings, mistakes));
    const std::string& name = steps.back().name;
    if (!name.empty() && !names.insert(name).second) {
      mistakes.add(item.source(),
                   "name = '" + name + "'; an earlier [[step]] has it",
                   "give each its own name, it stands in what is reported");
    }
  }
  return steps;
}

}  // namespace stillpoint::profile
