#include "stillpoint/fetch/curl_transfer.h"

#include <curl/curl.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/fetch/file_name.h"

namespace stillpoint::fetch {
namespace {

constexpr int kMostRedirects = 5;
constexpr long kSlowBytesPerS = 100;

struct EasyCloser {
  void operator()(CURL* easy) const { curl_easy_cleanup(easy); }
};
using Easy = std::unique_ptr<CURL, EasyCloser>;

// The file that is written to, and what went wrong with it.
class Target {
 public:
  Target(const std::filesystem::path& path, std::uint64_t most_bytes)
      : path_(path.string()), most_bytes_(most_bytes) {}
  ~Target() { close(); }
  Target(const Target&) = delete;
  Target& operator=(const Target&) = delete;

  // Anew, also after a redirect's body.
  Status open() {
    close();
    size_bytes_ = 0;
    file_ =
        ::open(path_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    return file_ >= 0 ? ok() : broken("cannot be written");
  }
  // False: the transfer ends here.
  bool write(const char* bytes, std::size_t size) {
    if (size > most_bytes_ - std::min(size_bytes_, most_bytes_)) {
      too_large_ = true;
      return false;
    }
    size_bytes_ += size;
    while (size > 0) {
      const ssize_t n = ::write(file_, bytes, size);
      if (n < 0 && errno == EINTR) {
        continue;
      }
      if (n <= 0) {
        error_ = errno;
        return false;
      }
      bytes += n;
      size -= static_cast<std::size_t>(n);
    }
    return true;
  }
  Status finish() {
    // Devices have nothing to sync (EINVAL).
    if (error_ == 0 && ::fdatasync(file_) != 0 && errno != EINVAL) {
      error_ = errno;
    }
    errno = error_;
    return error_ == 0 ? ok() : broken("writing failed");
  }
  [[nodiscard]] bool failed() const { return error_ != 0; }
  [[nodiscard]] bool too_large() const { return too_large_; }
  [[nodiscard]] std::uint64_t size_bytes() const { return size_bytes_; }

 private:
  [[nodiscard]] Status broken(const char* what) const {
    const int number = errno;
    return fail(
        ErrorCode::kIo,
        fmt::format("{}: {}", what, std::generic_category().message(number)),
        path_,
        number == ENOSPC || number == EDQUOT
            ? "make room on the disk, or name another folder"
            : "check that the folder exists and that this user may write "
              "there");
  }
  void close() {
    if (file_ >= 0) {
      ::close(file_);
      file_ = -1;
    }
  }
  std::string path_;
  std::uint64_t most_bytes_, size_bytes_ = 0;
  int file_ = -1, error_ = 0;
  bool too_large_ = false;
};

std::size_t on_body(char* bytes,
                    std::size_t one,
                    std::size_t count,
                    void* target) {
  const std::size_t size = one * count;
  return static_cast<Target*>(target)->write(bytes, size) ? size : 0;
}

TransferAnswer failed(std::string what, std::string remedy) {
  TransferAnswer answer;
  answer.why =
      Error{ErrorCode::kIo, std::move(what), std::string(), std::move(remedy)};
  return answer;
}

TransferAnswer missing() {
  TransferAnswer answer;
  answer.outcome = TransferOutcome::kMissing;
  return answer;
}

TransferAnswer status_answer(long status) {
  if (status == 404 || status == 410) {
    return missing();
  }
  if (status == 401 || status == 403) {
    return failed(fmt::format("the archive refuses (HTTP status {})", status),
                  "it may want a login: see [[login]] in docs/fetch.md");
  }
  if (status == 429 || status == 503) {
    return failed(fmt::format("the archive is busy (HTTP status {})", status),
                  "try again later");
  }
  return failed(fmt::format("the archive answers HTTP status {}", status),
                "check the archive's address; if it is right, try again later");
}

class CurlTransfer final : public Transfer {
 public:
  explicit CurlTransfer(CurlOptions options) : options_(std::move(options)) {
    static const CURLcode started = curl_global_init(CURL_GLOBAL_DEFAULT);
    STILLPOINT_CHECK(started == CURLE_OK);
    easy_.reset(curl_easy_init());
    STILLPOINT_CHECK(easy_ != nullptr);
    // Cookies are kept in memory: logins by redirect need them. Once, as each
    // call adds to a list.
    curl_easy_setopt(easy_.get(), CURLOPT_COOKIEFILE, "");
  }

  Result<TransferAnswer> get(const std::string& url,
                             const std::filesystem::path& path) override {
    Target target(path, options_.most_bytes);
    std::string from = url;
    for (int redirects = 0; redirects <= kMostRedirects; ++redirects) {
      if (auto opened = target.open(); !opened) {
        return fail(std::move(opened.error()));
      }
      const CURLcode code = perform(from, target);
      if (target.failed()) {
        return fail(std::move(target.finish().error()));
      }
      const char* next = nullptr;
      curl_easy_getinfo(easy_.get(), CURLINFO_REDIRECT_URL, &next);
      if (code != CURLE_OK || next == nullptr) {
        return answer(from, code, target);
      }
      const std::string to = next;
      if (!may_go(from, to)) {
        return placed(from,
                      failed("a redirect to another kind of address",
                             "write the archive's new address, if it moved"));
      }
      from = to;
    }
    return placed(from,
                  failed("redirects without end",
                         "check the archive's address, or its login"));
  }

 private:
  // To the same scheme, or to https.
  static bool may_go(const std::string& from, const std::string& to) {
    const std::string scheme = scheme_of(to);
    return !host_of(to).empty() &&
           (scheme == "https" || scheme == scheme_of(from));
  }

  static TransferAnswer placed(const std::string& url, TransferAnswer answer) {
    answer.why.where = public_part(url);
    return answer;
  }

  // Nothing where none may be sent.
  [[nodiscard]] const Credential* login_for(const std::string& url) const {
    for (const Credential& one : options_.credentials) {
      if (scheme_of(url) == "https" && one.host == host_of(url)) {
        return &one;
      }
    }
    return nullptr;
  }

  // Sets every option anew, and so takes none from the address before.
  CURLcode perform(const std::string& url, Target& target) {
    CURL* easy = easy_.get();
    why_.fill('\0');
    curl_easy_setopt(easy, CURLOPT_URL, url.c_str());
    curl_easy_setopt(easy, CURLOPT_PROTOCOLS_STR, "https,ftp,http");
    curl_easy_setopt(easy, CURLOPT_FOLLOWLOCATION, 0L);
    curl_easy_setopt(easy, CURLOPT_NOSIGNAL, 1L);
    curl_easy_setopt(easy, CURLOPT_USERAGENT, "stillpoint");
    curl_easy_setopt(easy, CURLOPT_ERRORBUFFER, why_.data());
    curl_easy_setopt(easy, CURLOPT_SSL_VERIFYPEER, 1L);
    curl_easy_setopt(easy, CURLOPT_SSL_VERIFYHOST, 2L);
    curl_easy_setopt(easy, CURLOPT_SSLVERSION, long{CURL_SSLVERSION_TLSv1_2});
    if (!options_.ca_file.empty()) {
      curl_easy_setopt(easy, CURLOPT_CAINFO, options_.ca_file.c_str());
    }
    // Set, so that neither is taken from the environment.
    curl_easy_setopt(easy, CURLOPT_PROXY, options_.proxy.c_str());
    curl_easy_setopt(easy, CURLOPT_NOPROXY, "");
    curl_easy_setopt(easy, CURLOPT_NETRC, long{CURL_NETRC_IGNORED});
    curl_easy_setopt(easy, CURLOPT_CONNECTTIMEOUT, options_.connect_s);
    curl_easy_setopt(easy, CURLOPT_TIMEOUT, options_.whole_s);
    curl_easy_setopt(easy, CURLOPT_LOW_SPEED_LIMIT, kSlowBytesPerS);
    curl_easy_setopt(easy, CURLOPT_LOW_SPEED_TIME, options_.stall_s);
    curl_easy_setopt(easy,
                     CURLOPT_MAXFILESIZE_LARGE,
                     static_cast<curl_off_t>(options_.most_bytes));
    curl_easy_setopt(easy, CURLOPT_WRITEFUNCTION, &on_body);
    curl_easy_setopt(easy, CURLOPT_WRITEDATA, &target);
    const Credential* login = login_for(url);
    curl_easy_setopt(easy,
                     CURLOPT_USERNAME,
                     login == nullptr ? nullptr : login->user.c_str());
    curl_easy_setopt(easy,
                     CURLOPT_PASSWORD,
                     login == nullptr ? nullptr : login->password.c_str());
    return curl_easy_perform(easy);
  }

  Result<TransferAnswer> answer(const std::string& url,
                                CURLcode code,
                                Target& target) const {
    if (code == CURLE_OK) {
      long status = 0;
      curl_easy_getinfo(easy_.get(), CURLINFO_RESPONSE_CODE, &status);
      // FTP ends with 226 or the like; through a proxy it is HTTP.
      const bool ftp = scheme_of(url) == "ftp" && options_.proxy.empty();
      if (!ftp && status != 200) {
        return placed(url, status_answer(status));
      }
      if (auto finished = target.finish(); !finished) {
        return fail(std::move(finished.error()));
      }
      TransferAnswer answer;
      answer.outcome = TransferOutcome::kDone;
      answer.size_bytes = target.size_bytes();
      return answer;
    }
    if (target.too_large() || code == CURLE_FILESIZE_EXCEEDED) {
      auto answer = failed(
          fmt::format("the file is larger than {} bytes", options_.most_bytes),
          "check the archive's address: no product is that large");
      answer.why.code = ErrorCode::kTooLarge;
      return placed(url, std::move(answer));
    }
    return placed(url, curl_answer(code));
  }

  // libcurl's own words tell of hosts and ports, never of credentials.
  [[nodiscard]] TransferAnswer curl_answer(CURLcode code) const {
    const std::string words =
        why_.front() != '\0' ? why_.data() : curl_easy_strerror(code);
    switch (code) {
      // A folder that is not there (250 to CWD is missing), or the file.
      case CURLE_REMOTE_ACCESS_DENIED:
      case CURLE_REMOTE_FILE_NOT_FOUND:
        return missing();
      case CURLE_COULDNT_RESOLVE_HOST:
      case CURLE_COULDNT_RESOLVE_PROXY:
        return failed(fmt::format("no such name is known ({})", words),
                      "correct the host's name, or check the name server");
      case CURLE_COULDNT_CONNECT:
        return failed(fmt::format("no connection ({})", words),
                      "check the network, and that the archive is up");
      case CURLE_OPERATION_TIMEDOUT:
        return failed(fmt::format("the archive is too slow ({})", words),
                      "try again later, or name another archive");
      case CURLE_PARTIAL_FILE:
      case CURLE_RECV_ERROR:
      case CURLE_GOT_NOTHING:
        return failed(fmt::format("it broke off ({})", words),
                      "try again later");
      case CURLE_PEER_FAILED_VERIFICATION:
      case CURLE_SSL_CONNECT_ERROR:
        return failed(fmt::format("its certificate is not trusted ({})", words),
                      "check the host's name and this machine's clock");
      case CURLE_LOGIN_DENIED:
        return failed("the archive lets nobody in without a login",
                      "name an archive that does, or one with https");
      default:
        return failed(fmt::format("the transfer failed ({})", words),
                      "check the archive's address and the network");
    }
  }

  CurlOptions options_;
  Easy easy_;
  std::array<char, CURL_ERROR_SIZE> why_{};
};

}  // namespace

std::unique_ptr<Transfer> curl_transfer(CurlOptions options) {
  return std::make_unique<CurlTransfer>(std::move(options));
}

}  // namespace stillpoint::fetch
