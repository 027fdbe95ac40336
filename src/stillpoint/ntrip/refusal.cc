#include "stillpoint/ntrip/refusal.h"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/ascii.h"

namespace stillpoint::ntrip {
namespace {

constexpr std::size_t kNamesShown = 8;
constexpr std::size_t kLongestName = 100;
constexpr const char* kWaitOrAsk =
    "nothing is wrong here; if it lasts, ask the caster's operator";

std::string quoted(std::string_view text) {
  return "'" + for_people(text, kLongestName) + "'";
}

std::string where_password(const net::SourceAddress& address) {
  if (!address.password_file.empty()) {
    return " and the password in " + address.password_file;
  }
  return address.password_env.empty()
             ? ", and name its password with password_file= or password_env="
             : " and the password in the variable " + address.password_env;
}

Error unauthorised(const ResponseHead& head,
                   const net::SourceAddress& address) {
  if (starts_with_text(head.www_authenticate, "Digest")) {
    return {ErrorCode::kUnsupported,
            "the caster wants digest authentication, which is not supported",
            address.text,
            "ask the caster's operator for basic authentication, over TLS "
            "(ntrips://) where it is offered"};
  }
  if (address.user.empty()) {
    return {ErrorCode::kConfig,
            "the caster wants a user name and a password",
            address.text,
            "write the user before the host and name where the password is: "
            "ntrip://user@host:2101/MOUNT?password_file=F"};
  }
  return {
      ErrorCode::kConfig,
      "wrong user name or password, says the caster",
      address.text,
      "check the user name " + quoted(address.user) + where_password(address)};
}

Error redirected(const ResponseHead& head, const net::SourceAddress& address) {
  return {ErrorCode::kConfig,
          "the caster sends us elsewhere, to " + quoted(head.location) +
              "; that is not followed, since the password would go there too",
          address.text,
          "if the place is the right one, write it as the source"};
}

Error no_caster(const ResponseHead& head, const net::SourceAddress& address) {
  std::string what = "what answers is no caster";
  if (head.status != 0 && !head.content_type.empty()) {
    what += ": it sends " + quoted(head.content_type);
  } else if (!head.first_line.empty()) {
    what += ": it says '" + for_people(head.first_line) + "'";
  }
  return {ErrorCode::kConfig,
          what,
          address.text,
          "check host and port; a plain stream without a caster is "
          "tcp://host:port"};
}

Error by_status(const ResponseHead& head, const net::SourceAddress& address) {
  const std::string said = "'" + for_people(head.first_line) + "'";
  switch (head.status) {
    case 401:
      return unauthorised(head, address);
    case 403:
      return {ErrorCode::kConfig,
              "the caster forbids us the mountpoint " + quoted(address.mount),
              address.text,
              "ask the caster's operator for the right to use it"};
    case 404:
      return {ErrorCode::kConfig,
              "no such mountpoint " + quoted(address.mount) + " at the caster",
              address.text,
              "check the name; upper and lower case matter"};
    case 409:
      return {ErrorCode::kIo,
              "the mountpoint " + quoted(address.mount) + " is in use",
              address.text,
              kWaitOrAsk};
    case 410:
      return {ErrorCode::kConfig,
              "the mountpoint " + quoted(address.mount) + " is gone for good",
              address.text,
              "choose another one of this caster"};
    case 408:
    case 425:
    case 429:
      return {ErrorCode::kIo,
              "the caster asks us to wait: " + said,
              address.text,
              kWaitOrAsk};
    default:
      break;
  }
  if (head.status >= 500) {
    return {ErrorCode::kIo,
            "the caster cannot serve us: " + said,
            address.text,
            kWaitOrAsk};
  }
  return {ErrorCode::kConfig,
          "the caster does not take the request: " + said,
          address.text,
          "try the other version of the protocol: ?version=1 or ?version=2"};
}

std::string lowered(std::string_view text) {
  std::string lower(text);
  std::transform(lower.begin(), lower.end(), lower.begin(), to_lower);
  return lower;
}

// Mountpoints, the ones most like `mount` first.
std::vector<std::string> by_likeness(const Sourcetable& table,
                                     const std::string& mount) {
  const std::string wanted = lowered(mount);
  std::vector<std::pair<std::size_t, std::string>> names;
  for (const StreamRecord* stream : table.streams()) {
    if (stream->mountpoint.size() <= kLongestName) {
      names.emplace_back(edit_distance(wanted, lowered(stream->mountpoint)),
                         stream->mountpoint);
    }
  }
  std::stable_sort(
      names.begin(), names.end(), [](const auto& a, const auto& b) {
        return a.first < b.first;
      });
  std::vector<std::string> sorted;
  sorted.reserve(names.size());
  for (auto& [distance, name] : names) {
    sorted.push_back(std::move(name));
  }
  return sorted;
}

std::string list_of(const std::vector<std::string>& names) {
  std::string list;
  for (std::size_t i = 0; i < std::min(names.size(), kNamesShown); ++i) {
    list += (i == 0 ? "" : ", ") + for_people(names[i], kLongestName);
  }
  if (names.size() > kNamesShown) {
    list += fmt::format(" and {} more", names.size() - kNamesShown);
  }
  return list;
}

// The name that was meant, or empty.
std::string meant(const std::vector<std::string>& sorted,
                  const std::string& mount) {
  if (sorted.empty()) {
    return {};
  }
  const std::string nearest = lowered(sorted.front());
  const std::string_view candidates[] = {nearest};
  return suggest(lowered(mount), candidates) ? sorted.front() : std::string();
}

}  // namespace

Error explain(const ResponseHead& head, const net::SourceAddress& address) {
  if (head.kind == ResponseKind::kRedirect) {
    return redirected(head, address);
  }
  if (head.kind != ResponseKind::kRefusal) {
    return no_caster(head, address);
  }
  if (head.status != 0) {
    return by_status(head, address);
  }
  ResponseHead known = head;
  if (says_no_such_mount(head)) {
    known.status = 404;
    return by_status(known, address);
  }
  if (contains_text(head.first_line, "password") ||
      contains_text(head.first_line, "authori")) {
    return unauthorised(head, address);
  }
  return {ErrorCode::kIo,
          "the caster refuses: '" + for_people(head.first_line) + "'",
          address.text,
          kWaitOrAsk};
}

bool says_no_such_mount(const ResponseHead& head) {
  return head.kind == ResponseKind::kRefusal &&
         (head.status == 404 ||
          (head.status == 0 && contains_text(head.first_line, "mount")));
}

bool suggests_version_1(const ResponseHead& head) {
  return head.kind == ResponseKind::kRefusal &&
         (head.status == 400 || head.status == 501 || head.status == 505);
}

Error no_such_mount(const net::SourceAddress& address,
                    const Sourcetable& table) {
  const std::vector<std::string> names = by_likeness(table, address.mount);
  if (std::find(names.begin(), names.end(), address.mount) != names.end()) {
    return {ErrorCode::kIo,
            "the caster lists the mountpoint " + quoted(address.mount) +
                " but sends no stream of it",
            address.text,
            kWaitOrAsk};
  }
  std::string what = "no such mountpoint " + quoted(address.mount) + "; ";
  if (names.empty()) {
    return {ErrorCode::kConfig,
            what + "the caster has none at all",
            address.text,
            "check host and port"};
  }
  const std::string near = meant(names, address.mount);
  return {ErrorCode::kConfig,
          what + "the caster has: " + list_of(names),
          address.text,
          near.empty() ? "write one of the caster's mountpoints behind the host"
                       : "did you mean " + quoted(near) +
                             "? Upper and lower case matter"};
}

}  // namespace stillpoint::ntrip
