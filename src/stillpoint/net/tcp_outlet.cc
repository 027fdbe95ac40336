#include <algorithm>
#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <set>
#include <utility>

#include "stillpoint/net/listener.h"
#include "stillpoint/net/loop_asio.h"
#include "stillpoint/net/net_errors.h"
#include "stillpoint/net/tcp_acceptor.h"
#include "stillpoint/net/write_queue.h"

namespace stillpoint::net {
namespace {

using boost::asio::ip::tcp;
using boost::system::error_code;

constexpr std::size_t kMostClients = 64;

// One reader. Cut: its socket is closed; whoever holds it lets go of it then.
struct Client : std::enable_shared_from_this<Client> {
  Client(tcp::socket accepted, std::shared_ptr<const FromReaders> readers)
      : socket(std::move(accepted)), from_readers(std::move(readers)) {}

  void cut() {
    error_code ignored;  // it is gone either way
    socket.close(ignored);
  }

  void send(const Chunk& chunk) {
    if (!outgoing.push(chunk)) {
      cut();
    } else {
      write();
    }
  }

  void write() {
    if (is_writing || outgoing.empty()) {
      return;
    }
    is_writing = true;
    const auto front = outgoing.front();
    socket.async_write_some(
        boost::asio::buffer(front.data(), front.size()),
        [self = shared_from_this()](const error_code& code, std::size_t count) {
          self->is_writing = false;
          if (code || !self->socket.is_open()) {
            self->cut();
            return;
          }
          self->outgoing.take(count);
          self->write();
        });
  }

  // Also finds out when the reader goes.
  void read() {
    socket.async_read_some(
        boost::asio::buffer(incoming),
        [self = shared_from_this()](const error_code& code, std::size_t count) {
          if (code || !self->socket.is_open()) {
            self->cut();
            return;
          }
          if (*self->from_readers) {
            (*self->from_readers)(ByteSpan(self->incoming).first(count));
          }
          self->read();
        });
  }

  tcp::socket socket;
  WriteQueue outgoing{ByteOutlet::kMostWaiting};
  bool is_writing = false;
  std::array<std::uint8_t, ByteOutlet::kMostFromReader> incoming{};
  std::shared_ptr<const FromReaders> from_readers;  // never null
};

struct Listener {
  Listener(Loop& loop, FromReaders readers)
      : acceptor(std::make_shared<TcpAcceptor>(loop)),
        from_readers(std::make_shared<const FromReaders>(std::move(readers))) {}

  void add(tcp::socket socket) {
    sweep();
    if (clients.size() >= kMostClients) {
      return;  // closes it
    }
    error_code ignored;  // slower without it, nothing else
    socket.set_option(tcp::no_delay(true), ignored);
    const auto client =
        std::make_shared<Client>(std::move(socket), from_readers);
    clients.insert(client);
    client->read();
  }

  void sweep() {
    std::erase_if(clients, [](const auto& c) { return !c->socket.is_open(); });
  }

  void close() {
    acceptor->close();
    for (const auto& client : clients) {
      client->cut();
    }
    clients.clear();
  }

  std::shared_ptr<TcpAcceptor> acceptor;
  std::set<std::shared_ptr<Client>> clients;
  std::shared_ptr<const FromReaders> from_readers;
};

class TcpOutlet final : public ByteOutlet {
 public:
  explicit TcpOutlet(std::shared_ptr<Listener> listener)
      : listener_(std::move(listener)) {
    port_ = listener_->acceptor->port();
  }
  TcpOutlet(const TcpOutlet&) = delete;
  TcpOutlet& operator=(const TcpOutlet&) = delete;
  ~TcpOutlet() override { listener_->close(); }

  Status send(ByteSpan bytes) override {
    const auto chunk =
        std::make_shared<const std::string>(bytes.begin(), bytes.end());
    for (const auto& client : listener_->clients) {
      if (client->socket.is_open()) {
        client->send(chunk);
      }
    }
    listener_->sweep();
    return ok();
  }

  [[nodiscard]] std::string where() const override {
    return "tcp://" + place_name("127.0.0.1", port_);
  }

  [[nodiscard]] std::size_t clients() const override {
    const auto& all = listener_->clients;
    return static_cast<std::size_t>(
        std::count_if(all.begin(), all.end(), [](const auto& c) {
          return c->socket.is_open();
        }));
  }

  [[nodiscard]] std::size_t waiting() const override {
    std::size_t most = 0;
    for (const auto& client : listener_->clients) {
      if (client->socket.is_open()) {
        most = std::max(most, client->outgoing.bytes());
      }
    }
    return most;
  }

 private:
  std::shared_ptr<Listener> listener_;
  std::uint16_t port_ = 0;
};

}  // namespace

Result<std::unique_ptr<ByteOutlet>> open_tcp_outlet(Loop& loop,
                                                    std::uint16_t port,
                                                    FromReaders from_readers) {
  auto listener = std::make_shared<Listener>(loop, std::move(from_readers));
  constexpr const char* kRemedy = "choose another port, or 0 for a free one";
  // It is closed before the listener goes.
  const auto started =
      listener->acceptor->start({boost::asio::ip::address_v4::loopback(), port},
                                place_name("127.0.0.1", port),
                                {kRemedy, kRemedy},
                                [raw = listener.get()](tcp::socket socket) {
                                  raw->add(std::move(socket));
                                });
  if (!started) {
    return fail(started.error());
  }
  return std::make_unique<TcpOutlet>(std::move(listener));
}

}  // namespace stillpoint::net
