#include "stillpoint/ntrip/server/fan_test_support.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include <array>
#include <utility>

#include "stillpoint/ntrip/request.h"

namespace stillpoint::ntrip {
namespace {

constexpr std::chrono::seconds kPatience{60};

Admission admission_of(const LedgerQuestion& question) {
  if (question.user == "tractor-2") {
    return Admission::kForbidden;
  }
  if (question.user == "club-guest") {
    return Admission::kTooMany;
  }
  const bool known = question.user == "ditch-1" && question.password == "larch";
  return question.user.empty() || question.user == "slow-hash" || known
             ? Admission::kAllowed
             : Admission::kWrongLogin;
}

}  // namespace

void NotingLedger::ask(const LedgerQuestion& question, Answer answer) {
  Verdict verdict;
  {
    const std::lock_guard lock(mutex_);
    questions_.push_back(question);
    verdict = allowed_;
    verdict.admission = admission_of(question);
    changed_.notify_all();
    if (question.user == "slow-hash") {
      held_.push_back(std::move(answer));
      return;
    }
  }
  answer(verdict);
}

void NotingLedger::on_connect(const SessionFacts& facts) {
  const std::lock_guard lock(mutex_);
  SessionNote& note = notes_[facts.session];
  note.facts = facts;
  ++note.connects;
  ++connected_;
  changed_.notify_all();
}

std::optional<std::uint64_t> NotingLedger::on_progress(
    SessionId session, const SessionAccount& account) {
  const std::lock_guard lock(mutex_);
  notes_[session].account = account;
  ++notes_[session].reports;
  changed_.notify_all();
  return allowed_in_all_;
}

void NotingLedger::allow_in_all(std::optional<std::uint64_t> bytes) {
  const std::lock_guard lock(mutex_);
  allowed_in_all_ = bytes;
}

void NotingLedger::on_disconnect(SessionId session,
                                 Departure why,
                                 const SessionAccount& account) {
  const std::lock_guard lock(mutex_);
  SessionNote& note = notes_[session];
  ++note.disconnects;
  note.why = why;
  note.account = account;
  ++gone_;
  changed_.notify_all();
}

bool NotingLedger::wait(const std::function<bool(const NotingLedger&)>& holds) {
  std::unique_lock lock(mutex_);
  return changed_.wait_for(lock, kPatience, [&] { return holds(*this); });
}

bool NotingLedger::wait_connected(std::size_t count) {
  return wait([count](const auto& me) { return me.connected_ >= count; });
}

bool NotingLedger::wait_gone(std::size_t count) {
  return wait([count](const auto& me) { return me.gone_ >= count; });
}

bool NotingLedger::wait_reports(int count) {
  return wait([count](const auto& me) {
    return me.notes_.begin()->second.reports >= count;
  });
}

bool NotingLedger::wait_asked(std::size_t count) {
  return wait(
      [count](const auto& me) { return me.questions_.size() >= count; });
}

void NotingLedger::release() {
  std::vector<Answer> held;
  {
    const std::lock_guard lock(mutex_);
    held.swap(held_);
  }
  for (const Answer& answer : held) {
    answer({Admission::kAllowed, 0, std::chrono::nanoseconds{0}});
  }
}

void NotingLedger::set_limits(const Verdict& verdict) {
  const std::lock_guard lock(mutex_);
  allowed_ = verdict;
}

std::map<SessionId, SessionNote> NotingLedger::notes() {
  const std::lock_guard lock(mutex_);
  return notes_;
}

SessionNote NotingLedger::only() {
  const auto all = notes();
  EXPECT_EQ(all.size(), 1U);
  return all.empty() ? SessionNote{} : all.begin()->second;
}

std::vector<LedgerQuestion> NotingLedger::questions() {
  const std::lock_guard lock(mutex_);
  return questions_;
}

TestFanOut::TestFanOut(FanOutOptions options, unsigned workers) {
  options.program_version = "0.1.0";
  auto made = FanOut::make(
      options,
      workers,
      {.steady = [this] { return std::chrono::nanoseconds{now_ns_.load()}; },
       .unix_s = [] { return std::int64_t{784111777}; }},
      ledger);
  EXPECT_TRUE(made) << made.error().text();
  engine = std::move(*made);
  engine->add_mount(std::string(kMount));
  const auto listening = engine->listen({});
  EXPECT_TRUE(listening) << listening.error().text();
  port = listening.value_or(0);
  for (unsigned i = 0; i < workers; ++i) {
    threads_.emplace_back([this, i] { engine->run_worker(i); });
  }
}

TestFanOut::~TestFanOut() {
  stop();
}

void TestFanOut::stop() {
  if (!engine) {
    return;
  }
  engine->stop();
  for (std::thread& thread : std::exchange(threads_, {})) {
    thread.join();
  }
}

void TestFanOut::advance(std::chrono::nanoseconds time) {
  now_ns_.fetch_add(time.count());
  engine->wake();
}

void TestFanOut::publish(std::string_view bytes) {
  engine->on_chunk(
      kMount,
      {reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
}

bool TestFanOut::wait(const std::function<bool(const FanOutCounts&)>& holds) {
  const auto give_up = std::chrono::steady_clock::now() + kPatience;
  while (!holds(engine->counts())) {
    if (std::chrono::steady_clock::now() > give_up) {
      return false;
    }
    engine->wake();
    std::this_thread::yield();
  }
  return true;
}

TestRover::TestRover(std::uint16_t port, int receive_buffer)
    : fd_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
  if (receive_buffer > 0) {
    ::setsockopt(
        fd_, SOL_SOCKET, SO_RCVBUF, &receive_buffer, sizeof(receive_buffer));
  }
  const timeval patience{.tv_sec = kPatience.count(), .tv_usec = 0};
  ::setsockopt(fd_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  EXPECT_EQ(
      ::connect(
          fd_, reinterpret_cast<const sockaddr*>(&address), sizeof(address)),
      0);
}

TestRover::~TestRover() {
  close();
}

TestRover::TestRover(TestRover&& other) noexcept
    : fd_(std::exchange(other.fd_, -1)) {}

void TestRover::send(std::string_view bytes) const {
  // It may have been cut already: then the reading will show it.
  while (!bytes.empty()) {
    const auto sent = ::send(fd_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (sent <= 0) {
      return;
    }
    bytes.remove_prefix(static_cast<std::size_t>(sent));
  }
}

std::string TestRover::read(std::size_t count) const {
  std::string text(count, '\0');
  std::size_t have = 0;
  while (have < count) {
    const auto got = ::recv(fd_, text.data() + have, count - have, 0);
    if (got <= 0) {
      break;
    }
    have += static_cast<std::size_t>(got);
  }
  text.resize(have);
  return text;
}

std::string TestRover::read_head() const {
  std::string head;
  while (!head.ends_with("\r\n\r\n")) {
    const std::string next = read(1);
    if (next.empty()) {
      break;
    }
    head += next;
  }
  return head;
}

std::string TestRover::read_to_end() const {
  std::string all;
  std::string piece;
  do {
    piece = read(65536);
    all += piece;
  } while (piece.size() == 65536);
  return all;
}

void TestRover::close() {
  if (fd_ >= 0) {
    ::close(fd_);
    fd_ = -1;
  }
}

std::string request_v1(std::string_view mount,
                       std::string_view user,
                       std::string_view password) {
  Request request;
  request.mount = mount;
  request.user = user;
  request.password = password;
  request.program_version = "0.1.0";
  return build_request(Version::k1, request);
}

std::string request_v2(std::string_view http,
                       std::string_view mount,
                       std::string_view user,
                       std::string_view password) {
  return fmt::format(
      "GET /{} HTTP/{}\r\nHost: 127.0.0.1\r\nNtrip-Version: Ntrip/2.0\r\n"
      "User-Agent: NTRIP SPDEMO-R1\r\nAuthorization: {}\r\n"
      "Connection: close\r\n\r\n",
      mount,
      http,
      basic_credentials(user, password));
}

std::string chunk_text(int number) {
  std::string text = fmt::format("<{}>", number);
  while (text.size() < static_cast<std::size_t>(500 + number % 37)) {
    text += static_cast<char>(
        (number * 131 + static_cast<int>(text.size()) * 31) & 0xFF);
  }
  return text;
}

}  // namespace stillpoint::ntrip
