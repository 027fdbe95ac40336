#include <optional>
#include <string>
#include <utility>

#include "stillpoint/net/connection.h"
#include "stillpoint/net/source_kinds.h"

namespace stillpoint::net {
namespace {

class TcpSource final : public SourceCore, private ConnectionHandler {
 public:
  TcpSource(Loop& loop,
            const SourceAddress& address,
            const SourceOptions& options)
      : SourceCore(loop, options), text_(address.text) {
    endpoint_.host = address.host;
    endpoint_.port = address.port;
    endpoint_.connect_s = options.connect_s;
    endpoint_.silence_s = options.silence_s;
  }

  Status send(ByteSpan bytes) override {
    if (!is_connected_) {
      return fail(
          ErrorCode::kIo, "it is not connected", text_, "wait until it is");
    }
    connection_->send(std::string(bytes.begin(), bytes.end()));
    return ok();
  }

 private:
  void open() override {
    ConnectionHandler& handler = *this;
    connection_.emplace(loop(), endpoint_, handler);
  }

  void shut() override {
    connection_.reset();
    is_connected_ = false;
  }

  void on_connected() override {
    is_connected_ = true;
    opened();
  }
  void on_bytes(ByteSpan bytes) override { deliver(bytes); }
  void on_closed(const Error& why) override { lost(why); }

  std::string text_;
  Endpoint endpoint_;
  std::optional<Connection> connection_;
  bool is_connected_ = false;
};

}  // namespace

std::shared_ptr<SourceCore> make_tcp_source(Loop& loop,
                                            const SourceAddress& address,
                                            const SourceOptions& options) {
  return std::make_shared<TcpSource>(loop, address, options);
}

}  // namespace stillpoint::net
