#include "stillpoint/fetch/cache.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <system_error>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/fetch/content.h"
#include "stillpoint/fetch/file_name.h"

namespace stillpoint::fetch {
namespace {

namespace fs = std::filesystem;

constexpr double kMissLastsS = 3600;
constexpr std::size_t kMostSideBytes = 4096;
constexpr std::size_t kMostMissBytes = std::size_t{4} * 1024 * 1024;

tl::unexpected<Error> broken(const char* what,
                             const fs::path& path,
                             const std::error_code& code) {
  return fail(ErrorCode::kIo,
              fmt::format("{}: {}", what, code.message()),
              path.string(),
              "check that the folder of the cache exists, has room, and that "
              "this user may write there");
}

std::error_code last_error() {
  return {errno, std::generic_category()};
}

// Nothing for a file that is absent, unreadable or longer.
std::optional<std::string> text_of(const fs::path& path, std::size_t most) {
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(
      std::fopen(path.c_str(), "rbe"), &std::fclose);
  if (!file) {
    return std::nullopt;
  }
  std::string text(most + 1, '\0');
  text.resize(std::fread(text.data(), 1, text.size(), file.get()));
  if (std::ferror(file.get()) != 0 || text.size() > most) {
    return std::nullopt;
  }
  return text;
}

// Whole or not at all, by a name of its own.
Status write_text(const fs::path& path, const std::string& text) {
  fs::path part = path;
  part += ".new";
  std::FILE* file = std::fopen(part.c_str(), "wbe");
  if (file == nullptr) {
    return broken("it cannot be written", part, last_error());
  }
  bool good = std::fwrite(text.data(), 1, text.size(), file) == text.size();
  good = std::fflush(file) == 0 && good;
  good = ::fdatasync(::fileno(file)) == 0 && good;
  std::error_code code = last_error();
  good = std::fclose(file) == 0 && good;
  if (!good) {
    std::error_code ignored;
    fs::remove(part, ignored);
    return broken("writing failed", part, code);
  }
  fs::rename(part, path, code);
  return code ? broken("it cannot be named", path, code) : ok();
}

// The next line of a text, without its end.
std::string_view take_line(std::string_view& text) {
  const std::size_t end = text.find('\n');
  const std::string_view line = text.substr(0, end);
  text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  return line;
}

std::optional<SideFacts> read_side(const fs::path& path) {
  const auto text = text_of(side_path(path), kMostSideBytes);
  if (!text) {
    return std::nullopt;
  }
  SideFacts facts;
  std::optional<std::int64_t> size;
  std::optional<std::int64_t> asked;
  std::string_view rest = *text;
  while (!rest.empty()) {
    const std::string_view line = take_line(rest);
    const std::size_t blank = line.find(' ');
    if (blank == std::string_view::npos) {
      continue;
    }
    const std::string_view word = line.substr(0, blank);
    const std::string_view value = line.substr(blank + 1);
    if (word == "url") {
      facts.url = value;
    } else if (word == "sha256") {
      facts.sha256 = value;
    } else if (word == "size") {
      size = parse_int(value);
    } else if (word == "asked_ns") {
      asked = parse_int(value);
    }
  }
  if (!size || *size < 0 || !asked || facts.sha256.empty()) {
    return std::nullopt;
  }
  facts.size_bytes = static_cast<std::uint64_t>(*size);
  facts.asked = GnssTime::from_ns(*asked);
  return facts;
}

Status write_side(const FetchedFile& file, GnssTime asked) {
  return write_text(side_path(file.path),
                    fmt::format("url {}\nsha256 {}\nsize {}\nasked_ns {}\n",
                                file.url,
                                file.sha256,
                                file.size_bytes,
                                asked.ns()));
}

// The name may stand in the part of the address that is not written down.
std::string miss_key(const std::string& url, const std::string& name) {
  return fmt::format("{} {}", name, public_part(url));
}

bool fresh(GnssTime then, GnssTime now, double lasts_s) {
  const double age_s = (now - then).s;
  return age_s >= 0 && age_s < lasts_s;
}

}  // namespace

fs::path side_path(const fs::path& path) {
  fs::path side = path;
  side += ".from";
  return side;
}

Result<std::unique_ptr<Cache>> Cache::open(const fs::path& root) {
  std::error_code code;
  fs::create_directories(root / ".part", code);
  if (code) {
    return broken("the folder cannot be made", root, code);
  }
  const fs::path name = root / ".lock";
  const int lock = ::open(name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  if (lock < 0) {
    return broken("it cannot be written", name, last_error());
  }
  if (::flock(lock, LOCK_EX | LOCK_NB) != 0) {
    ::close(lock);
    return fail(ErrorCode::kIo,
                "another program is fetching into this folder",
                root.string(),
                "wait until it has ended, or name another folder");
  }
  std::unique_ptr<Cache> cache(new Cache(root, lock));
  cache->read_misses();
  return cache;
}

Cache::~Cache() {
  ::close(lock_);
}

fs::path Cache::place(ProductKind kind, const std::string& name) const {
  return root_ / kind_word(kind) / name;
}

fs::path Cache::part(const std::string& name) const {
  return root_ / ".part" / name;
}

std::optional<Cache::Found> Cache::find(ProductKind kind,
                                        const std::string& name) const {
  const fs::path path = place(kind, name);
  const auto side = read_side(path);
  if (!side) {
    return std::nullopt;
  }
  std::error_code code;
  if (fs::file_size(path, code) != side->size_bytes || code) {
    return std::nullopt;
  }
  const auto facts = content_facts(path);
  if (!facts || facts->sha256 != side->sha256) {
    return std::nullopt;
  }
  Found found;
  found.file = {name, path, side->url, side->sha256, side->size_bytes, true};
  found.asked = side->asked;
  return found;
}

Result<FetchedFile> Cache::keep(ProductKind kind,
                                const std::string& name,
                                const std::string& url,
                                GnssTime now) {
  const fs::path from = part(name);
  if (auto state = check_content(name, from); !state) {
    drop_part(name);
    return fail(std::move(state.error()));
  }
  auto facts = content_facts(from);
  if (!facts) {
    return fail(std::move(facts.error()));
  }
  FetchedFile file{name,
                   place(kind, name),
                   public_part(url),
                   std::move(facts->sha256),
                   facts->size_bytes,
                   false};
  std::error_code code;
  fs::create_directories(file.path.parent_path(), code);
  if (code) {
    return broken("the folder cannot be made", file.path.parent_path(), code);
  }
  // Until the new side file stands, old facts do not fit and nothing is found.
  fs::rename(from, file.path, code);
  if (code) {
    return broken("it cannot be named", file.path, code);
  }
  if (auto state = write_side(file, now); !state) {
    return fail(std::move(state.error()));
  }
  return file;
}

void Cache::drop_part(const std::string& name) const {
  std::error_code ignored;
  fs::remove(part(name), ignored);
}

Status Cache::mark_asked(const FetchedFile& file, GnssTime now) const {
  return write_side(file, now);
}

bool Cache::missed(const std::string& url,
                   const std::string& name,
                   GnssTime now) const {
  const auto found = misses_.find(miss_key(url, name));
  return found != misses_.end() && fresh(found->second, now, kMissLastsS);
}

void Cache::remember_miss(const std::string& url,
                          const std::string& name,
                          GnssTime now) {
  misses_[miss_key(url, name)] = now;
}

void Cache::read_misses() {
  const auto text = text_of(root_ / ".missed", kMostMissBytes);
  std::string_view rest = text ? std::string_view(*text) : std::string_view();
  while (!rest.empty()) {
    const std::string_view line = take_line(rest);
    const std::size_t blank = line.find(' ');
    const auto ns = parse_int(line.substr(0, blank));
    if (ns && blank != std::string_view::npos) {
      misses_[std::string(line.substr(blank + 1))] = GnssTime::from_ns(*ns);
    }
  }
}

Status Cache::save_misses(GnssTime now) const {
  std::string text;
  for (const auto& [url, then] : misses_) {
    if (fresh(then, now, kMissLastsS)) {
      fmt::format_to(std::back_inserter(text), "{} {}\n", then.ns(), url);
    }
  }
  return write_text(root_ / ".missed", text);
}

Status forget(const FetchedFile& file) {
  // The side file first: without it the other is not found.
  for (const fs::path& path : {side_path(file.path), file.path}) {
    std::error_code code;
    fs::remove(path, code);
    if (code) {
      return broken("it cannot be removed", path, code);
    }
  }
  return ok();
}

}  // namespace stillpoint::fetch
