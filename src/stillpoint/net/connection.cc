#include "stillpoint/net/connection.h"

#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <utility>

#include "stillpoint/net/loop_asio.h"
#include "stillpoint/net/net_errors.h"
#include "stillpoint/net/tls_client.h"
#include "stillpoint/net/write_queue.h"

namespace stillpoint::net {

using boost::asio::ip::tcp;
using boost::system::error_code;

// Steps: name -> TCP -> TLS -> open. Each handler holds the state alive and
// looks first whether it was closed meanwhile.
struct Connection::State : std::enable_shared_from_this<State> {
  State(Loop& loop, Endpoint where, ConnectionHandler& to)
      : endpoint(std::move(where)),
        place(place_name(endpoint.host, endpoint.port)),
        handler(&to),
        resolver(loop.impl().context),
        socket(loop.impl().context),
        timer(loop.impl().context) {}

  void begin();
  void connect(const tcp::resolver::results_type& addresses);
  void shake_hands();
  void open();
  void read();
  void write();
  void send(std::string bytes);
  void watch(double seconds, const char* what, const char* remedy);
  void lose(const Error& why);
  void close();
  [[nodiscard]] bool closed() const { return handler == nullptr; }

  // With the plain or the encrypted stream.
  template <class Use>
  void with_stream(Use use) {
    if (tls) {
      use(tls->stream());
    } else {
      use(socket);
    }
  }

  Endpoint endpoint;
  std::string place;
  ConnectionHandler* handler;  // null when closed
  tcp::resolver resolver;
  tcp::socket socket;
  std::unique_ptr<TlsClient> tls;
  boost::asio::steady_timer timer;  // to be connected, then for silence
  std::array<std::uint8_t, 16384> incoming{};
  WriteQueue outgoing{kMostQueued};
  std::uint64_t watches = 0;  // the last one counts
  bool is_open = false, is_writing = false, is_full = false;
};

void Connection::State::begin() {
  watch(endpoint.connect_s,
        "no answer in time",
        "check the network, and that the other side is on");
  if (endpoint.tls) {
    auto made = TlsClient::make(socket, endpoint.host, endpoint.ca_file);
    if (!made) {
      lose(made.error());
      return;
    }
    tls = std::move(*made);
  }
  const auto resolved = [self = shared_from_this()](
                            const error_code& code,
                            const tcp::resolver::results_type& addresses) {
    if (self->closed()) {
      return;
    }
    if (code) {
      self->lose(connection_error(code, self->place));
    } else {
      self->connect(addresses);
    }
  };
  error_code not_an_address;
  const auto address =
      boost::asio::ip::make_address(endpoint.host, not_an_address);
  if (!not_an_address) {
    resolved({},
             tcp::resolver::results_type::create(
                 tcp::endpoint(address, endpoint.port), endpoint.host, ""));
    return;
  }
  // On the resolver's own thread (loop_asio.h). Destroying the loop waits for
  // the system's resolver, at most its own time limit.
  resolver.async_resolve(endpoint.host,
                         std::to_string(endpoint.port),
                         tcp::resolver::numeric_service,
                         resolved);
}

void Connection::State::connect(const tcp::resolver::results_type& addresses) {
  boost::asio::async_connect(
      socket,
      addresses,
      [self = shared_from_this()](const error_code& code,
                                  const tcp::endpoint&) {
        if (self->closed()) {
          return;
        }
        if (code) {
          self->lose(connection_error(code, self->place));
        } else {
          self->shake_hands();
        }
      });
}

void Connection::State::shake_hands() {
  error_code ignored;  // a socket without them works as well
  socket.set_option(tcp::no_delay(true), ignored);
  socket.set_option(boost::asio::socket_base::keep_alive(true), ignored);
  if (!tls) {
    open();
    return;
  }
  tls->stream().async_handshake(
      boost::asio::ssl::stream_base::client,
      [self = shared_from_this()](const error_code& code) {
        if (self->closed()) {
          return;
        }
        if (code) {
          self->lose(self->tls->explain(code, self->place));
        } else {
          self->open();
        }
      });
}

void Connection::State::open() {
  is_open = true;
  ++watches;
  timer.cancel();
  handler->on_connected();
  if (!closed()) {
    write();
    read();
  }
}

void Connection::State::read() {
  watch(endpoint.silence_s,
        "nothing came for too long",
        "check that the other side still sends");
  auto done = [self = shared_from_this()](const error_code& code,
                                          std::size_t count) {
    if (self->closed()) {
      return;
    }
    if (code) {
      self->lose(connection_error(code, self->place));
      return;
    }
    self->handler->on_bytes(ByteSpan(self->incoming.data(), count));
    if (!self->closed()) {
      self->read();
    }
  };
  with_stream([&](auto& stream) {
    stream.async_read_some(boost::asio::buffer(incoming), std::move(done));
  });
}

void Connection::State::write() {
  if (!is_open || is_writing || outgoing.empty()) {
    return;
  }
  is_writing = true;
  const auto front = outgoing.front();
  auto done = [self = shared_from_this()](const error_code& code,
                                          std::size_t count) {
    if (self->closed()) {
      return;
    }
    self->is_writing = false;
    if (code) {
      self->lose(connection_error(code, self->place));
      return;
    }
    self->outgoing.take(count);
    self->write();
  };
  with_stream([&](auto& stream) {
    stream.async_write_some(boost::asio::buffer(front.data(), front.size()),
                            std::move(done));
  });
}

void Connection::State::send(std::string bytes) {
  if (closed() || is_full) {
    return;
  }
  if (outgoing.push(std::make_shared<const std::string>(std::move(bytes)))) {
    write();
    return;
  }
  is_full = true;  // said from run(), as everything is
  boost::asio::post(socket.get_executor(), [self = shared_from_this()] {
    self->lose({ErrorCode::kTooLarge,
                "the other side takes too little: 1 MiB waits to be sent",
                self->place,
                "check how fast the network is"});
  });
}

void Connection::State::watch(double seconds,
                              const char* what,
                              const char* remedy) {
  const auto number = ++watches;
  if (!(seconds > 0)) {
    return;
  }
  timer.expires_after(timer_span(seconds));
  timer.async_wait([self = shared_from_this(), number, what, remedy](
                       const error_code& code) {
    // A watch that ran out while bytes were on their way does not count.
    if (!code && number == self->watches) {
      self->lose({ErrorCode::kIo, what, self->place, remedy});
    }
  });
}

void Connection::State::lose(const Error& why) {
  if (auto* told = handler; told != nullptr) {
    close();
    told->on_closed(why);
  }
}

void Connection::State::close() {
  if (closed()) {
    return;
  }
  handler = nullptr;
  timer.cancel();
  resolver.cancel();
  error_code ignored;  // it is gone either way
  socket.close(ignored);
}

Connection::Connection(Loop& loop,
                       Endpoint endpoint,
                       ConnectionHandler& handler)
    : state_(std::make_shared<State>(loop, std::move(endpoint), handler)) {
  boost::asio::post(loop.impl().context, [state = state_] {
    if (!state->closed()) {
      state->begin();
    }
  });
}

Connection::~Connection() {
  state_->close();
}

void Connection::send(std::string bytes) {
  state_->send(std::move(bytes));
}

void Connection::close() {
  state_->close();
}

}  // namespace stillpoint::net
