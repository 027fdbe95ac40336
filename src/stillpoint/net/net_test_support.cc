#include "stillpoint/net/net_test_support.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio/buffer.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "stillpoint/net/loop_asio.h"

namespace stillpoint::net::test {

using boost::asio::ip::tcp;
using boost::system::error_code;

bool run_until(Loop& loop, const std::function<bool()>& done) {
  auto& context = loop.impl().context;
  const auto late = std::make_shared<bool>(false);
  boost::asio::steady_timer watchdog(context);
  watchdog.expires_after(std::chrono::seconds{30});
  watchdog.async_wait(
      [late](const error_code& code) { *late = *late || !code; });
  context.restart();
  while (!done() && !*late) {
    if (context.run_one() == 0) {
      context.restart();
    }
  }
  return done();
}

void run_ready(Loop& loop) {
  auto& context = loop.impl().context;
  context.restart();
  context.poll();
}

ByteSpan bytes_of(std::string_view text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

std::size_t Recorder::times(SourceState state) const {
  return static_cast<std::size_t>(
      std::count_if(states.begin(), states.end(), [&](const SourceStatus& s) {
        return s.state == state;
      }));
}

Error Recorder::why() const {
  for (auto it = states.rbegin(); it != states.rend(); ++it) {
    if (it->why) {
      return *it->why;
    }
  }
  return {};
}

TempDir::TempDir() {
  path_ = (std::filesystem::temp_directory_path() / "stillpoint-XXXXXX");
  if (mkdtemp(path_.data()) == nullptr) {
    ADD_FAILURE() << "no temporary folder " << path_;
  }
}

TempDir::~TempDir() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string TempDir::file(const std::string& name,
                          std::string_view content) const {
  std::ofstream(path(name), std::ios::binary) << content;
  return path(name);
}

Pty::Pty() : master_(posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)) {
  std::array<char, 128> name{};
  EXPECT_EQ(grantpt(master_), 0);
  EXPECT_EQ(unlockpt(master_), 0);
  EXPECT_EQ(ptsname_r(master_, name.data(), name.size()), 0);
  path_ = name.data();
}

void Pty::unplug() {
  if (master_ >= 0) {
    ::close(std::exchange(master_, -1));
  }
}

void Pty::write(std::string_view text) const {
  EXPECT_EQ(::write(master_, text.data(), text.size()),
            static_cast<ssize_t>(text.size()));
}

std::string Pty::read() const {
  std::array<char, 4096> bytes{};
  const auto count = ::read(master_, bytes.data(), bytes.size());
  return {bytes.data(), count > 0 ? static_cast<std::size_t>(count) : 0};
}

struct Server::State : std::enable_shared_from_this<State> {
  State(Loop& loop, std::uint16_t port)
      : acceptor(loop.impl().context,
                 tcp::endpoint(boost::asio::ip::address_v4::loopback(), port)),
        peer(loop.impl().context) {}

  void accept() {
    acceptor.async_accept(
        [self = shared_from_this()](const error_code& code, tcp::socket next) {
          if (!code) {
            self->peer = std::move(next);
            ++self->clients;
            self->read();
            self->accept();
          }
        });
  }

  void read() {
    peer.async_read_some(
        boost::asio::buffer(incoming),
        [self = shared_from_this()](const error_code& code, std::size_t count) {
          if (!code) {
            self->heard.append(self->incoming.data(), count);
            self->read();
          }
        });
  }

  tcp::acceptor acceptor;
  tcp::socket peer;
  std::array<char, 4096> incoming{};
  std::size_t clients = 0;
  std::string heard;
};

Server::Server(Loop& loop, std::uint16_t port)
    : state_(std::make_shared<State>(loop, port)) {
  state_->accept();
}

Server::~Server() {
  error_code ignored;
  state_->acceptor.close(ignored);
  state_->peer.close(ignored);
}

std::uint16_t Server::port() const {
  return state_->acceptor.local_endpoint().port();
}

void Server::send(std::string_view text) {
  boost::asio::write(state_->peer,
                     boost::asio::buffer(text.data(), text.size()));
}

void Server::hang_up() {
  state_->peer.close();
}

std::size_t Server::clients() const {
  return state_->clients;
}

const std::string& Server::heard() const {
  return state_->heard;
}

}  // namespace stillpoint::net::test
