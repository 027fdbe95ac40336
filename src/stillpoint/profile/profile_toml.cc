#include <array>
#include <utility>

#include "stillpoint/profile/profile.h"
#include "stillpoint/profile/profile_tables.h"

namespace stillpoint::profile {
namespace {

constexpr std::size_t kMostText = std::size_t{64} * 1024;

constexpr std::array<KeyRule, 4> kProfileRules = {{
    {"name", false, "name = \"SPDEMO-R1\""},
    {"description", false, "description = \"what this receiver sends\""},
    {"framing", false, "[[framing]]"},
    {"step", false, "[[step]]"},
}};

Profile read_profile(const toml::table& table, Mistakes& mistakes) {
  TableReader reader(table, "a profile", kProfileRules, mistakes);
  Profile profile;
  profile.name = reader.text("name").value_or("");
  profile.description = reader.text("description").value_or("");
  if (const toml::node* list = table.get("framing")) {
    profile.framings = read_framings(*list, mistakes);
  }
  if (const toml::node* list = table.get("step")) {
    profile.steps = read_steps(*list, profile.framings, mistakes);
  }
  return profile;
}

}  // namespace

Result<Profile> parse_profile(std::string_view toml, std::string_view name) {
  if (toml.size() > kMostText) {
    return fail(ErrorCode::kConfig,
                std::to_string(toml.size()) + " bytes; a profile has at most " +
                    std::to_string(kMostText),
                std::string(name) + ":1:1",
                "give a receiver profile");
  }
  Mistakes mistakes(name);
  const toml::parse_result parsed = toml::parse(toml, name);
  if (!parsed) {
    const toml::parse_error& error = parsed.error();
    mistakes.add(error.source(),
                 std::string(error.description()),
                 "correct this place; docs/receivers.md has a whole profile");
    return fail(mistakes.error());
  }
  Profile profile = read_profile(parsed.table(), mistakes);
  if (mistakes.count() > 0) {
    return fail(mistakes.error());
  }
  return profile;
}

Result<std::vector<MakerFraming>> parse_framings(std::string_view toml,
                                                 std::string_view name) {
  return parse_profile(toml, name).map([](Profile&& profile) {
    return std::move(profile.framings);
  });
}

}  // namespace stillpoint::profile
