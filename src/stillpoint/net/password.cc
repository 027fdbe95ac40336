#include <cerrno>
#include <cstdio>
#include <memory>
#include <system_error>
#include <utility>

#include "stillpoint/net/source_address.h"

namespace stillpoint::net {
namespace {

constexpr std::size_t kLongest = 1024;

tl::unexpected<Error> unfit(std::string what, std::string where) {
  return fail(ErrorCode::kUsage,
              std::move(what),
              std::move(where),
              "write the password, and nothing else, into one line of it");
}

Result<std::string> read_small_file(const std::string& path) {
  const auto broken = [&] {
    return fail(ErrorCode::kIo,
                "the password file cannot be read: " +
                    std::generic_category().message(errno),
                path);
  };
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(
      std::fopen(path.c_str(), "rbe"), &std::fclose);
  if (!file) {
    return broken();
  }
  std::string text(kLongest + 3, '\0');  // a line end, and one too many
  text.resize(std::fread(text.data(), 1, text.size(), file.get()));
  if (std::ferror(file.get()) != 0) {
    return broken();
  }
  return text;
}

Result<std::string> checked(std::string text, const std::string& where) {
  if (!text.empty() && text.back() == '\n') {
    text.pop_back();
  }
  if (!text.empty() && text.back() == '\r') {
    text.pop_back();
  }
  if (text.empty()) {
    return unfit("it holds no password", where);
  }
  if (text.size() > kLongest) {
    return unfit("it is longer than any password", where);
  }
  if (text.find_first_of(std::string_view("\n\r\0", 3)) != std::string::npos) {
    return unfit("it holds more than one line", where);
  }
  return text;
}

}  // namespace

Result<std::string> read_password(const SourceAddress& address,
                                  const Environment& environment) {
  if (!address.password_file.empty()) {
    auto text = read_small_file(address.password_file);
    return text ? checked(std::move(*text), address.password_file) : text;
  }
  if (address.password_env.empty()) {
    return std::string();
  }
  auto value = environment ? environment(address.password_env) : std::nullopt;
  if (!value) {
    return fail(ErrorCode::kUsage,
                "the environment variable is not set",
                address.password_env,
                "set it where the program is started, or use password_file=");
  }
  return checked(std::move(*value), address.password_env);
}

}  // namespace stillpoint::net
