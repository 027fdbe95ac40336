#include "stillpoint/ntrip/test_caster.h"

#include <algorithm>
#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <chrono>
#include <utility>

#include "stillpoint/net/loop_asio.h"

namespace stillpoint::ntrip {
namespace {

using boost::asio::ip::tcp;
using boost::system::error_code;

// Loop turns between two pieces.
constexpr int kTurns = 4;

void after_turns(const tcp::socket::executor_type& executor,
                 int turns,
                 std::function<void()> action) {
  boost::asio::post(executor, [executor, turns, action = std::move(action)] {
    if (turns == 0) {
      action();
    } else {
      after_turns(executor, turns - 1, action);
    }
  });
}

}  // namespace

struct TestCaster::State : std::enable_shared_from_this<State> {
  struct Client {
    Client(tcp::socket taken, Script what)
        : socket(std::move(taken)), script(std::move(what)) {}
    tcp::socket socket;
    Script script;
    std::string head;
    bool asked = false;
    std::array<char, 4096> buffer{};
  };

  explicit State(boost::asio::io_context& context)
      : acceptor(context,
                 tcp::endpoint(boost::asio::ip::address_v4::loopback(), 0)) {}

  void accept() {
    acceptor.async_accept([self = shared_from_this()](const error_code& code,
                                                      tcp::socket socket) {
      if (code) {
        return;
      }
      const std::size_t n = std::min(self->next++, self->scripts.size() - 1);
      auto client =
          std::make_shared<Client>(std::move(socket), self->scripts[n]);
      self->clients.push_back(client);
      if (client->script.mute) {
        client->socket.close();
      } else {
        self->read(client);
      }
      self->accept();
    });
  }

  void read(const std::shared_ptr<Client>& client) {
    client->socket.async_read_some(
        boost::asio::buffer(client->buffer),
        [self = shared_from_this(), client](const error_code& code,
                                            std::size_t count) {
          if (code || self->closed) {
            return;
          }
          self->take(client, {client->buffer.data(), count});
          self->read(client);
        });
  }

  void take(const std::shared_ptr<Client>& client, std::string_view bytes) {
    if (client->asked) {
      sent_after.append(bytes);
      if (sent) {
        sent();
      }
      return;
    }
    client->head.append(bytes);
    const std::size_t end = client->head.find("\r\n\r\n");
    if (end == std::string::npos) {
      return;
    }
    client->asked = true;
    const std::string rest = client->head.substr(end + 4);
    requests.push_back(client->head.substr(0, end + 4));
    answer(client, 0);
    if (!rest.empty()) {
      take(client, rest);
    }
  }

  void answer(const std::shared_ptr<Client>& client, std::size_t piece) {
    if (closed) {
      return;
    }
    if (piece == client->script.pieces.size()) {
      if (client->script.close) {
        error_code ignored;
        client->socket.shutdown(tcp::socket::shutdown_send, ignored);
      }
      return;
    }
    boost::asio::async_write(client->socket,
                             boost::asio::buffer(client->script.pieces[piece]),
                             [self = shared_from_this(), client, piece](
                                 const error_code& code, std::size_t) {
                               if (!code) {
                                 after_turns(client->socket.get_executor(),
                                             kTurns,
                                             [self, client, piece] {
                                               self->answer(client, piece + 1);
                                             });
                               }
                             });
  }

  tcp::acceptor acceptor;
  std::vector<Script> scripts;
  std::size_t next = 0;
  std::vector<std::shared_ptr<Client>> clients;
  std::vector<std::string> requests;
  std::string sent_after;
  std::function<void()> sent;
  bool closed = false;
};

TestCaster::TestCaster(net::Loop& loop, std::vector<Script> scripts)
    : state_(std::make_shared<State>(loop.impl().context)) {
  state_->scripts = std::move(scripts);
  state_->accept();
}

TestCaster::~TestCaster() {
  state_->closed = true;
  state_->sent = nullptr;
  error_code ignored;
  state_->acceptor.close(ignored);
  for (const auto& client : state_->clients) {
    client->socket.close(ignored);
  }
}

std::uint16_t TestCaster::port() const {
  return state_->acceptor.local_endpoint().port();
}

const std::vector<std::string>& TestCaster::requests() const {
  return state_->requests;
}

const std::string& TestCaster::sent_after() const {
  return state_->sent_after;
}

void TestCaster::on_sent_after(std::function<void()> action) {
  state_->sent = std::move(action);
}

void Recorder::on_bytes(ByteSpan piece) {
  bytes.append(piece.begin(), piece.end());
  look();
}

void Recorder::on_status(const net::SourceStatus& status) {
  statuses.push_back(status);
  if (status.why) {
    why_ = *status.why;
  }
  look();
}

void Recorder::look() {
  const bool ended =
      !statuses.empty() && statuses.back().state == net::SourceState::kEnded;
  if (ended || (enough && enough())) {
    loop_.stop();
  }
}

std::string Recorder::states() const {
  constexpr const char* kNames[] = {"opening", "open", "waiting", "ended"};
  std::string all;
  for (const net::SourceStatus& status : statuses) {
    all += (all.empty() ? "" : " ");
    all += kNames[static_cast<int>(status.state)];
  }
  return all;
}

net::SourceAddress address_of(const TestCaster& caster, int version) {
  auto address = net::parse_source(
      "ntrip://ditch-1@127.0.0.1:" + std::to_string(caster.port()) +
      "/LHOL00XXX?password_env=PASS");
  address.value().version = version;
  return *address;
}

net::SourceOptions quick_options() {
  net::SourceOptions options;
  options.first_wait_s = 0;
  options.longest_wait_s = 0;
  options.environment = [](const std::string& name) {
    return name == "PASS" ? std::optional<std::string>("larch") : std::nullopt;
  };
  return options;
}

bool run(net::Loop& loop) {
  loop.run_for(std::chrono::seconds(60));  // a guard, not a measure
  return loop.stopped();
}

}  // namespace stillpoint::ntrip
