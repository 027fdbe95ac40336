// FTP, against a responder that knows the few words which a retrieval needs.
#include <gtest/gtest.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <string>
#include <thread>
#include <utility>

#include "stillpoint/fetch/curl_transfer.h"
#include "stillpoint/fetch/fetch_test_support.h"
#include "stillpoint/fetch/scripted_server_test_support.h"

namespace stillpoint::fetch {
namespace {

// One session: anonymous, folder /pub only, with one file.
class FtpResponder {
 public:
  enum class Mood { kGood, kCutsShort, kWantsLogin };

  explicit FtpResponder(std::string content, Mood mood = Mood::kGood)
      : content_(std::move(content)),
        mood_(mood),
        listener_(test::listen_on_a_free_port()) {
    thread_ = std::thread([this] { serve(); });
  }
  ~FtpResponder() {
    thread_.join();
    ::close(listener_);
  }
  FtpResponder(const FtpResponder&) = delete;
  FtpResponder& operator=(const FtpResponder&) = delete;
  [[nodiscard]] std::string place() const {
    return "ftp://127.0.0.1:" + std::to_string(test::port_of(listener_));
  }

 private:
  static int accepted(int listener) {
    pollfd one{listener, POLLIN, 0};
    return ::poll(&one, 1, 20000) > 0
               ? ::accept4(listener, nullptr, nullptr, SOCK_CLOEXEC)
               : -1;
  }
  void serve() {
    const int control = accepted(listener_);
    if (control < 0) {
      return;
    }
    const timeval limit{20, 0};
    ::setsockopt(control, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof(limit));
    test::send_all(control, "220 ready\r\n");
    std::string heard;
    std::array<char, 1024> room{};
    while (true) {
      const std::size_t end = heard.find("\r\n");
      if (end == std::string::npos) {
        const ssize_t n = ::recv(control, room.data(), room.size(), 0);
        if (n <= 0) {
          break;
        }
        heard.append(room.data(), static_cast<std::size_t>(n));
        continue;
      }
      const std::string line = heard.substr(0, end);
      heard.erase(0, end + 2);
      test::send_all(control, answer(line, control));
    }
    ::close(control);
    if (data_ >= 0) {
      ::close(data_);
    }
  }
  std::string answer(const std::string& line, int control) {
    const std::string word = line.substr(0, 4);
    const std::string rest = line.size() > 5 ? line.substr(5) : "";
    if (word == "USER") {
      return "331 a password\r\n";
    }
    if (word == "PASS") {
      return mood_ == Mood::kWantsLogin ? "530 not you\r\n" : "230 welcome\r\n";
    }
    if (word == "PWD") {
      return "257 \"/\"\r\n";
    }
    if (word == "CWD ") {
      return line == "CWD pub" ? "250 there\r\n" : "550 no such folder\r\n";
    }
    if (word == "EPSV") {
      data_ = test::listen_on_a_free_port();
      return "229 Extended (|||" + std::to_string(test::port_of(data_)) +
             "|)\r\n";
    }
    if (word == "TYPE") {
      return "200 so be it\r\n";
    }
    if (word == "SIZE" || word == "RETR") {
      if (rest != "a.gz") {
        return "550 no such file\r\n";
      }
      if (word == "SIZE") {
        return "213 " + std::to_string(content_.size()) + "\r\n";
      }
      test::send_all(control, "150 here it comes\r\n");
      const int data = accepted(data_);
      test::send_all(data,
                     mood_ == Mood::kCutsShort
                         ? content_.substr(0, content_.size() / 2)
                         : content_);
      ::close(data);
      return "226 that was it\r\n";
    }
    return word == "QUIT" ? "221 bye\r\n" : "502 not known\r\n";
  }

  std::string content_;
  Mood mood_;
  int listener_ = -1, data_ = -1;
  std::thread thread_;
};

TransferAnswer got(const std::string& url, std::string* content = nullptr) {
  const test::TempDir dir;
  const auto answer = curl_transfer({})->get(url, dir.path("part"));
  EXPECT_TRUE(answer);
  if (content != nullptr) {
    *content = test::content_of(dir.path("part"));
  }
  return answer.value_or(TransferAnswer{});
}

TEST(Ftp, AFileComesAsItIs) {
  const std::string body = "a\r\nb\n" + std::string(100000, '\xff');
  const FtpResponder server(body);
  std::string content;
  const auto answer = got(server.place() + "/pub/a.gz", &content);
  EXPECT_EQ(answer.outcome, TransferOutcome::kDone) << answer.why.text();
  EXPECT_TRUE(content == body);
}

TEST(Ftp, AMissingFileAndAMissingFolder) {
  const FtpResponder one("x");
  EXPECT_EQ(got(one.place() + "/pub/b.gz").outcome, TransferOutcome::kMissing);
  const FtpResponder two("x");
  EXPECT_EQ(got(two.place() + "/2445/a.gz").outcome, TransferOutcome::kMissing);
}

TEST(Ftp, CutShortAndLockedOut) {
  const FtpResponder cut(std::string(1000, 'x'),
                         FtpResponder::Mood::kCutsShort);
  const auto partial = got(cut.place() + "/pub/a.gz");
  EXPECT_EQ(partial.outcome, TransferOutcome::kFailed);
  EXPECT_NE(partial.why.what.find("broke off"), std::string::npos)
      << partial.why.text();
  const FtpResponder locked("x", FtpResponder::Mood::kWantsLogin);
  const auto refused = got(locked.place() + "/pub/a.gz");
  EXPECT_EQ(refused.outcome, TransferOutcome::kFailed);
  EXPECT_NE(refused.why.what.find("login"), std::string::npos)
      << refused.why.text();
}

}  // namespace
}  // namespace stillpoint::fetch
