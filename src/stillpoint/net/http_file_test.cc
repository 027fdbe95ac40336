#include "stillpoint/net/http_file.h"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <unistd.h>

#include <array>
#include <filesystem>
#include <string>

#include "stillpoint/net/http_client_test_support.h"

namespace stillpoint::net {
namespace {

using std::chrono::milliseconds;
using test::Client;
using test::run_until;

std::string pattern(std::size_t size) {
  std::string text;
  text.reserve(size);
  for (std::size_t i = 0; i < size; ++i) {
    text += static_cast<char>('a' + (i * 7 + i / 251) % 26);
  }
  return text;
}

class HttpFiles : public testing::Test {
 protected:
  HttpHandler sends(const std::string& path) {
    return [path](const HttpRequest&) {
      HttpResponse page;
      page.content_type = "application/octet-stream";
      auto file = HttpFile::open(path);
      EXPECT_TRUE(file.has_value());
      if (file) {
        page.file = *file;
      }
      return page;
    };
  }
  test::TempDir dir_;
  Loop loop_;
};

TEST_F(HttpFiles, IsSentWholeAndTheConnectionStays) {
  for (const std::size_t size : {0U, 1U, 65'536U, 300'001U}) {
    const std::string content = pattern(size);
    const auto server = test::serve(loop_, {}, sends(dir_.file("f", content)));
    const Client client(loop_, *server);
    client.say(std::string(test::kGet) + std::string(test::kGet));
    const std::string length =
        "Content-Length: " + std::to_string(size) + "\r\n";
    ASSERT_TRUE(run_until(loop_, [&] {
      return client.answers() == 2 && client.heard().ends_with(content) &&
             client.heard().size() > 2 * size;
    })) << size;
    EXPECT_NE(client.heard().find("\r\n\r\n" + content + "HTTP/1.1 200 OK"),
              std::string::npos);
    EXPECT_NE(client.heard().find(length), std::string::npos);
    EXPECT_FALSE(client.ended());
  }
}

TEST_F(HttpFiles, HeadHasItsLengthOnly) {
  const auto server = test::serve(loop_, {}, sends(dir_.file("f", "12345")));
  const Client client(loop_, *server);
  client.say("HEAD / HTTP/1.1\r\nHost: a\r\n\r\n");
  ASSERT_TRUE(run_until(loop_, [&] { return client.answers() == 1; }));
  EXPECT_NE(client.heard().find("Content-Length: 5\r\n"), std::string::npos);
  EXPECT_TRUE(client.heard().ends_with("\r\n\r\n"));
}

// What was promised cannot be kept: the end of the connection says so.
TEST_F(HttpFiles, OneThatBecomesShorterEndsTheConnection) {
  const std::string path = dir_.file("f", "12345");
  auto opened = HttpFile::open(path);
  ASSERT_TRUE(opened.has_value());
  std::filesystem::resize_file(path, 2);
  const auto server = test::serve(loop_, {}, [&](const HttpRequest&) {
    HttpResponse page;
    page.file = *opened;
    return page;
  });
  const Client client(loop_, *server);
  client.say(test::kGet);
  ASSERT_TRUE(run_until(loop_, [&] { return client.ended(); }));
  EXPECT_TRUE(client.heard().ends_with("\r\n\r\n12")) << client.heard();
}

long peak_kib() {
  rusage use{};
  getrusage(RUSAGE_SELF, &use);
  return use.ru_maxrss;
}

// Counts what it reads, and keeps nothing.
struct Counter {
  Counter(Loop& loop, const HttpServer& server) : socket(loop.impl().context) {
    socket.connect({boost::asio::ip::address_v4::loopback(), server.port()});
    boost::asio::write(
        socket, boost::asio::buffer(test::kGet.data(), test::kGet.size()));
    read();
  }
  void read() {
    socket.async_read_some(
        boost::asio::buffer(bytes),
        [this](const boost::system::error_code& code, std::size_t count) {
          seen += count;
          if (!code) {
            read();
          }
        });
  }
  boost::asio::ip::tcp::socket socket;
  std::array<char, 65536> bytes{};
  std::size_t seen = 0;
};

// 64 MiB to a client that reads all.
TEST_F(HttpFiles, MemoryDoesNotGrowWithIt) {
  constexpr std::uintmax_t kSize = std::uintmax_t{64} << 20U;
  const std::string path = dir_.file("f", "");
  std::filesystem::resize_file(path, kSize);
  const auto server = test::serve(loop_, {}, sends(path));
  const long before = peak_kib();
  Counter client(loop_, *server);
  ASSERT_TRUE(run_until(loop_, [&] { return client.seen > kSize; }));
  EXPECT_LT(peak_kib() - before, 16L * 1024);
  client.socket.close();
  test::run_ready(loop_);
}

TEST_F(HttpFiles, WhoDoesNotReadIsCut) {
  const std::string path = dir_.file("f", "");
  std::filesystem::resize_file(path, std::uintmax_t{64} << 20U);
  HttpServerOptions options;
  options.write_deadline = milliseconds{500};
  const auto server = test::serve(loop_, options, sends(path));
  const Client slow(loop_, *server, false);
  slow.say(test::kGet);
  ASSERT_TRUE(run_until(loop_, [&] { return server->connections() == 1; }));
  EXPECT_TRUE(run_until(loop_, [&] { return server->connections() == 0; }));
}

TEST_F(HttpFiles, SaysWhyItCannotBeOpened) {
  const auto none = HttpFile::open(dir_.path("none"));
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().code, ErrorCode::kIo);
  EXPECT_EQ(none.error().where, dir_.path("none"));
  const auto folder = HttpFile::open(dir_.path(""));
  ASSERT_FALSE(folder);
  EXPECT_EQ(folder.error().code, ErrorCode::kUnsupported);
}

}  // namespace
}  // namespace stillpoint::net
