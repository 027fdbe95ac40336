// libcurl against servers on 127.0.0.1 that behave well and badly.
#include "stillpoint/fetch/curl_transfer.h"

#include <gtest/gtest.h>

#include <chrono>
#include <ctime>
#include <string>

#include "stillpoint/fetch/fetch_test_support.h"
#include "stillpoint/fetch/scripted_server_test_support.h"
#include "stillpoint/net/self_signed.h"

namespace stillpoint::fetch {
namespace {

using test::http;
using test::HttpServer;
using test::Reply;

struct Tried {
  bool local_trouble = false;
  TransferAnswer answer;
  std::string content;
};

Tried try_it(const std::string& url, CurlOptions options = {}) {
  const test::TempDir dir;
  const auto transfer = curl_transfer(std::move(options));
  auto answer = transfer->get(url, dir.path("part"));
  Tried tried;
  tried.local_trouble = !answer;
  if (answer) {
    tried.answer = std::move(*answer);
    tried.content = test::content_of(dir.path("part"));
  }
  return tried;
}

HttpServer::Handler says(std::string bytes) {
  return
      [bytes = std::move(bytes)](const std::string&) { return Reply{bytes}; };
}

TEST(CurlTransfer, AFileComesAsItIs) {
  std::string body(300000, '\0');
  for (std::size_t i = 0; i < body.size(); ++i) {
    body[i] = static_cast<char>(i * 31 % 251);
  }
  const HttpServer server(says(http(body)));
  const Tried tried = try_it(server.place() + "/2445/a.gz");
  EXPECT_EQ(tried.answer.outcome, TransferOutcome::kDone)
      << tried.answer.why.text();
  EXPECT_EQ(tried.answer.size_bytes, body.size());
  EXPECT_TRUE(tried.content == body);
  ASSERT_EQ(server.heads().size(), 1U);
  EXPECT_EQ(server.heads().front().substr(0, 16), "GET /2445/a.gz H");
  // Or the bytes would no longer be those that the name promises.
  EXPECT_EQ(server.heads().front().find("Accept-Encoding"), std::string::npos);
}

TEST(CurlTransfer, WhatAStatusMeans) {
  const auto outcome = [](int status) {
    const HttpServer server(says(http("text", status)));
    return try_it(server.place() + "/a").answer.outcome;
  };
  EXPECT_EQ(outcome(404), TransferOutcome::kMissing);
  EXPECT_EQ(outcome(410), TransferOutcome::kMissing);
  for (const int status : {201, 204, 206, 304, 401, 403, 429, 500, 503}) {
    EXPECT_EQ(outcome(status), TransferOutcome::kFailed) << status;
  }
}

TEST(CurlTransfer, ABodyThatBreaksOff) {
  const HttpServer server(
      says("HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\nshort"));
  const Tried tried = try_it(server.place() + "/a");
  EXPECT_EQ(tried.answer.outcome, TransferOutcome::kFailed);
  EXPECT_NE(tried.answer.why.what.find("broke off"), std::string::npos)
      << tried.answer.why.text();
}

TEST(CurlTransfer, AServerThatStalls) {
  const HttpServer server([](const std::string&) {
    return Reply{"HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\nshort", true};
  });
  CurlOptions options;
  options.stall_s = 1;
  const auto start = std::chrono::steady_clock::now();
  const Tried tried = try_it(server.place() + "/a", options);
  const std::chrono::duration<double> took =
      std::chrono::steady_clock::now() - start;
  EXPECT_EQ(tried.answer.outcome, TransferOutcome::kFailed);
  EXPECT_NE(tried.answer.why.what.find("too slow"), std::string::npos)
      << tried.answer.why.text();
  // 1 s and libcurl's check once a second; 20 s allow for a busy machine and
  // are less than the default of 30 s.
  EXPECT_LT(took.count(), 20.0);
}

TEST(CurlTransfer, AFileThatIsTooLarge) {
  CurlOptions options;
  options.most_bytes = 10;
  const HttpServer told(says(http("12345678901")));
  const HttpServer untold(says("HTTP/1.1 200 OK\r\n\r\n12345678901"));
  const HttpServer fits(says(http("1234567890")));
  for (const HttpServer* server : {&told, &untold}) {
    const Tried tried = try_it(server->place() + "/a", options);
    EXPECT_EQ(tried.answer.outcome, TransferOutcome::kFailed);
    EXPECT_EQ(tried.answer.why.code, ErrorCode::kTooLarge);
    EXPECT_LE(tried.content.size(), 10U);
  }
  EXPECT_EQ(try_it(fits.place() + "/a", options).answer.outcome,
            TransferOutcome::kDone);
}

TEST(CurlTransfer, RedirectsToTheSameKindOfAddressOnly) {
  const HttpServer server([](const std::string& head) {
    if (head.starts_with("GET /moved ")) {
      return Reply{test::redirect_to("/here")};
    }
    if (head.starts_with("GET /away ")) {
      return Reply{test::redirect_to("file:///etc/hostname")};
    }
    if (head.starts_with("GET /ftp ")) {
      return Reply{test::redirect_to("ftp://127.0.0.1:1/x")};
    }
    if (head.starts_with("GET /round ")) {
      return Reply{test::redirect_to("/round")};
    }
    return Reply{http("here")};
  });
  const auto at = [&](const char* path) {
    return try_it(server.place() + path);
  };
  EXPECT_EQ(at("/moved").content, "here");
  for (const char* path : {"/away", "/ftp"}) {
    const Tried tried = at(path);
    EXPECT_EQ(tried.answer.outcome, TransferOutcome::kFailed);
    EXPECT_NE(tried.answer.why.what.find("another kind"), std::string::npos)
        << tried.answer.why.text();
  }
  const std::size_t before = server.heads().size();
  EXPECT_EQ(at("/round").answer.outcome, TransferOutcome::kFailed);
  EXPECT_EQ(server.heads().size() - before, 6U);
}

TEST(CurlTransfer, NobodyThere) {
  std::string place;
  {
    const HttpServer server(says(""));
    place = server.place();
  }
  const Tried tried = try_it(place + "/a?token=hush");
  EXPECT_EQ(tried.answer.outcome, TransferOutcome::kFailed);
  EXPECT_EQ(tried.answer.why.where, place + "/a");
  EXPECT_EQ(tried.answer.why.text().find("hush"), std::string::npos);
  for (const char* url : {"file:///etc/hostname", "gopher://127.0.0.1/a", ""}) {
    EXPECT_EQ(try_it(url).answer.outcome, TransferOutcome::kFailed) << url;
  }
}

TEST(CurlTransfer, ADiskThatIsFull) {
  const HttpServer server(says(http(std::string(100000, 'x'))));
  const auto transfer = curl_transfer({});
  const auto answer = transfer->get(server.place() + "/a", "/dev/full");
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().code, ErrorCode::kIo);
  EXPECT_EQ(answer.error().where, "/dev/full");
  EXPECT_NE(answer.error().remedy.find("room"), std::string::npos);
  const auto no_folder =
      transfer->get(server.place() + "/a", "/dev/full/folder/part");
  ASSERT_FALSE(no_folder);
  EXPECT_EQ(no_folder.error().code, ErrorCode::kIo);
}

class OverTls : public ::testing::Test {
 protected:
  OverTls() {
    const auto made = net::make_own_certificate({}, std::time(nullptr));
    EXPECT_TRUE(made);
    own = *made;
    trusted.ca_file = dir.file("ca.pem", own.certificate).string();
  }
  test::TempDir dir;
  net::OwnCertificate own;
  CurlOptions trusted;
};

TEST_F(OverTls, AStrangersCertificateIsRefused) {
  const HttpServer server(says(http("good")), own.certificate, own.key);
  const Tried stranger = try_it(server.place() + "/a");
  EXPECT_EQ(stranger.answer.outcome, TransferOutcome::kFailed);
  EXPECT_NE(stranger.answer.why.what.find("not trusted"), std::string::npos)
      << stranger.answer.why.text();
  EXPECT_TRUE(server.heads().empty());
  EXPECT_EQ(try_it(server.place() + "/a", trusted).content, "good");
}

TEST_F(OverTls, ALoginGoesToItsHostOverHttpsOnly) {
  const auto handler = [](const std::string& head) {
    return Reply{head.find("Authorization:") == std::string::npos
                     ? http("who?", 401)
                     : http("good")};
  };
  const HttpServer secure(handler, own.certificate, own.key);
  const HttpServer plain(handler);
  CurlOptions options = trusted;
  options.credentials.push_back({"127.0.0.1", "station", "hush"});
  EXPECT_EQ(try_it(secure.place() + "/a", options).content, "good");
  // "station:hush" as RFC 7617 sends it; from memory of RFC 4648's alphabet.
  EXPECT_NE(secure.heads().front().find("Basic c3RhdGlvbjpodXNo"),
            std::string::npos);
  EXPECT_EQ(try_it(plain.place() + "/a", options).answer.outcome,
            TransferOutcome::kFailed);
  options.credentials.front().host = "other.example.org";
  const Tried other = try_it(secure.place() + "/a", options);
  EXPECT_EQ(other.answer.outcome, TransferOutcome::kFailed);
  EXPECT_NE(other.answer.why.remedy.find("[[login]]"), std::string::npos);
}

// One transfer, one address after the other: localhost has no login, though
// it is the same server.
TEST_F(OverTls, ALoginIsForgottenAtTheNextAddress) {
  const HttpServer server(says(http("good")), own.certificate, own.key);
  CurlOptions options = trusted;
  options.credentials.push_back({"127.0.0.1", "station", "hush"});
  const auto transfer = curl_transfer(options);
  std::string other = server.place() + "/b";
  other.replace(other.find("127.0.0.1"), 9, "localhost");
  ASSERT_TRUE(transfer->get(server.place() + "/a", dir.path("a")));
  const auto answer = transfer->get(other, dir.path("b"));
  ASSERT_TRUE(answer);
  EXPECT_EQ(answer->outcome, TransferOutcome::kDone) << answer->why.text();
  ASSERT_EQ(server.heads().size(), 2U);
  EXPECT_NE(server.heads()[0].find("Authorization:"), std::string::npos);
  EXPECT_EQ(server.heads()[1].find("Authorization:"), std::string::npos);
}

TEST_F(OverTls, FromHttpToHttpsButNotBack) {
  const HttpServer secure(says(http("good")), own.certificate, own.key);
  const HttpServer plain(says(test::redirect_to(secure.place() + "/a")));
  EXPECT_EQ(try_it(plain.place() + "/a", trusted).content, "good");
  const HttpServer back(
      says(test::redirect_to(plain.place() + "/a")), own.certificate, own.key);
  EXPECT_EQ(try_it(back.place() + "/a", trusted).answer.outcome,
            TransferOutcome::kFailed);
}

// The whole way: final files answered with 404, rapid ones brought.
TEST(CurlTransfer, FetchOverHttp) {
  const test::TempDir dir;
  const HttpServer server([](const std::string& head) {
    return Reply{head.find("RAP_") == std::string::npos
                     ? http("no such file", 404)
                     : http(test::gzipped("rapid"))};
  });
  ArchiveList list = test::two_archives();
  list.archives = {{"here", server.place() + "/{week}/{file}", ""}};
  FetchRequest request;
  request.first = test::gpst("2026-11-20T00:00:00");
  request.last = test::gpst("2026-11-20T12:00:00");
  request.kinds = {ProductKind::kOrbits, ProductKind::kClocks};
  request.edge_s = 0;
  const auto transfer = curl_transfer({});
  const auto got = fetch(
      request, list, dir.path("cache"), test::gpst("2026-11-29"), *transfer);
  ASSERT_TRUE(got) << got.error().text();
  EXPECT_EQ(got->of(ProductKind::kClocks)->quality, Quality::kRapid);
  EXPECT_EQ(server.heads().size(), 4U);
}

}  // namespace
}  // namespace stillpoint::fetch
