// The shipped file and the page about the format, held against the one list of
// settings.
#include <algorithm>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "stillpoint/config/misplaced_keys.h"
#include "stillpoint/config/settings.h"
#include "stillpoint/config/station_test_support.h"
#include "tests/support/vectors.h"

namespace stillpoint::config {
namespace {

std::string text_of(const std::string& path) {
  std::ifstream in(test::vector_path("../../" + path));
  EXPECT_TRUE(in) << path;
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string shipped() {
  return text_of("packaging/station.toml");
}

// What stands between a line that is `head` and the next that begins like it.
std::vector<std::string> lines_of_section(const std::string& text,
                                          const std::string& head,
                                          const std::string& next) {
  std::vector<std::string> lines;
  const std::size_t at = ("\n" + text).find("\n" + head + "\n");
  EXPECT_NE(at, std::string::npos) << head;
  const std::size_t begin = at + head.size() + 1;
  const std::size_t end = text.find("\n" + next, begin);
  std::string line;
  for (const char c : text.substr(std::min(begin, text.size()), end - begin)) {
    if (c == '\n') {
      lines.push_back(line);
      line.clear();
    } else {
      line += c;
    }
  }
  lines.push_back(line);
  return lines;
}

// The one line that begins so; "" and a failure where there is none, or two.
std::string line_with(const std::vector<std::string>& lines,
                      const std::string& begin) {
  std::string found;
  for (const std::string& line : lines) {
    if (line.starts_with(begin)) {
      EXPECT_TRUE(found.empty()) << begin << " stands there twice";
      found = line;
    }
  }
  EXPECT_FALSE(found.empty()) << "no line begins with " << begin;
  return found;
}

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

// Calls f(label, setting, default text, required) for every setting there is.
template <class F>
void for_each_setting(F&& f) {
  const StationConfig defaults;
  for_each_section([&](std::string_view name, auto member) {
    const auto& section = defaults.*member;
    using S = std::remove_cvref_t<decltype(section)>;
    for (const Setting<S>& setting : settings_of<S>()) {
      f(section_label(name), setting, value_text(setting, section));
    }
  });
  const MountpointSection mount;
  for (const auto& setting : settings_of<MountpointSection>()) {
    f(section_label(kMountpoint), setting, value_text(setting, mount));
  }
}

TEST(ShippedFile, HoldsExactlyTheDefaults) {
  EXPECT_EQ(config_of(shipped()), StationConfig{});
}

TEST(ShippedFile, HasAtMost150LinesOf80Columns) {
  const std::string text = shipped();
  EXPECT_LE(std::count(text.begin(), text.end(), '\n'), 150);
  std::size_t column = 0;
  for (const char c : text) {
    column = c == '\n' ? 0 : column + 1;
    EXPECT_LE(column, 80U) << text.substr(0, 200);
    ASSERT_TRUE(c == '\n' || (c >= ' ' && c <= '~')) << "beyond ASCII";
  }
}

TEST(ShippedFile, ShowsEverySettingWithItsDefaultAndUnit) {
  const std::string text = shipped();
  for_each_setting([&](const std::string& label,
                       const auto& setting,
                       const std::string& value) {
    const std::string key(setting.key);
    const auto lines = lines_of_section(text, label, "[");
    const bool none = value == kNoValue;
    const std::string line = line_with(
        lines,
        none ? "# " + std::string(setting.example) : key + " = " + value);
    EXPECT_TRUE(has(line, setting.unit)) << line << " without its unit";
    EXPECT_EQ(has(line, "restart"), setting.effect == Effect::kAfterRestart)
        << line;
    EXPECT_EQ(has(line, "required"), setting.required) << line;
    if (!setting.unit.empty()) {
      EXPECT_TRUE(has(line, allowed_text(setting))) << line;
    }
  });
}

// The examples in messages are right themselves: added to a file that is right,
// each costs at most a word about what it must stand beside.
TEST(Settings, EveryExampleIsAllowed) {
  for_each_setting([&](const std::string& label,
                       const auto& setting,
                       const std::string& /*value*/) {
    const std::string example(setting.example), key(setting.key);
    EXPECT_TRUE(example.starts_with(key + " = "));
    std::string text = label + "\n" + example + "\n";
    if (label != "[station]") {
      text += "[station]\n";
    }
    if (label != "[station]" || key != "name") {
      text += "name = 'LHOL00XXX'\n";
    }
    if (label != "[[mountpoint]]") {
      text += "[[mountpoint]]\n";
    }
    const auto config = parse_station_config(
        text, "s.toml", [](std::string_view) { return ok(); });
    const std::string said = config ? "" : config.error().what;
    EXPECT_FALSE(has(said, "allowed")) << text << said;
    EXPECT_FALSE(has(said, "unknown")) << text << said;
    EXPECT_FALSE(has(said, "belongs")) << text << said;
  });
}

TEST(FormatPage, HasARowForEverySetting) {
  const std::string page = text_of("docs/formats/station-toml.md");
  std::size_t settings = 0;
  for_each_setting([&](const std::string& label,
                       const auto& setting,
                       const std::string& value) {
    ++settings;
    const auto lines = lines_of_section(page, "## `" + label + "`", "## ");
    const std::string row =
        line_with(lines, "| `" + std::string(setting.key) + "` | ");
    std::string allowed = allowed_text(setting);
    allowed =
        allowed.substr(0, allowed.find(": "));  // the rule, not its reason
    const std::string shown = value == kNoValue ? "none" : "`" + value + "`";
    const std::string effect =
        setting.effect == Effect::kAtOnce ? "at once" : "restart";
    const std::string unit(setting.unit);
    EXPECT_TRUE(row.ends_with(" |" + (unit.empty() ? " " : " " + unit + " ") +
                              "| " + shown + " | " + allowed + " | " + effect +
                              " |"))
        << row;
  });
  // Neither has the page rows for settings that are gone.
  std::size_t rows = 0;
  for (std::size_t at = page.find("\n| `"); at != std::string::npos;
       at = page.find("\n| `", at + 1)) {
    ++rows;
  }
  EXPECT_EQ(rows, settings);
}

// The lines that the page shows are those that people get.
TEST(FormatPage, ShowsMistakesAsTheyAreSaid) {
  const auto read = parse_station_config(
      with_needed("\n\n\n\n\n\n\n\n[archive]\ncommit_s = 60\n\n\n\n\n\n"
                  "[rovers]\nmost_per_adress = 3\n"),
      "station.toml",
      accept_serial);
  ASSERT_FALSE(read);
  const std::string lines = mistake_lines(read.error());
  EXPECT_EQ(std::count(lines.begin(), lines.end(), '\n'), 2);
  EXPECT_TRUE(
      has(text_of("docs/formats/station-toml.md"), "\n```\n" + lines + "```\n"))
      << lines;
}

}  // namespace
}  // namespace stillpoint::config
