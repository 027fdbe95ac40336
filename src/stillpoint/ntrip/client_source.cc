#include "stillpoint/ntrip/client_source.h"

#include <optional>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/net/source_core.h"
#include "stillpoint/ntrip/ascii.h"
#include "stillpoint/ntrip/client_parts.h"
#include "stillpoint/ntrip/refusal.h"
#include "stillpoint/ntrip/table_collector.h"

namespace stillpoint::ntrip {
namespace {

constexpr double kPositionEveryS = 10;  // common practice: 5 to 60 s

bool is_caster(const net::SourceAddress& address) {
  return address.kind == net::SourceKind::kNtrip ||
         address.kind == net::SourceKind::kNtrips;
}

class ClientSource final : public net::SourceCore, public ExchangeHandler {
 public:
  ClientSource(net::Loop& loop,
               const net::SourceAddress& address,
               const net::SourceOptions& options,
               const ClientOptions& client)
      : SourceCore(loop, options),
        address_(address),
        client_(client),
        version_(address.version),
        position_timer_(loop) {}

  Status send(ByteSpan bytes) override {
    if (!is_open_) {
      return fail(ErrorCode::kIo,
                  "the stream is not open",
                  address_.text,
                  "wait until it is");
    }
    exchange_->send(std::string(bytes.begin(), bytes.end()));
    return ok();
  }

 private:
  void open() override {
    auto request = request_of(address_,
                              options(),
                              version_.version(),
                              client_.program_version,
                              client_.gga ? client_.gga() : std::string());
    if (!request) {
      lost(std::move(request.error()));
      return;
    }
    exchange_ = std::make_shared<Exchange>(
        loop(), endpoint_of(address_, options()), std::move(*request), *this);
  }

  void shut() override {
    is_open_ = false;
    table_.reset();
    look_up_.reset();
    position_timer_.cancel();
    if (const auto old = std::exchange(exchange_, nullptr)) {
      old->close();
    }
  }

  void on_head(const ResponseHead& head) override {
    const auto keep = shared_from_this();
    if (head.kind == ResponseKind::kStream) {
      begin_stream(head);
    } else if (head.kind == ResponseKind::kTable) {
      table_.emplace();
    } else if (version_.fall_back_after(head)) {
      shut();
      open();
    } else if (says_no_such_mount(head) && !has_streamed_) {
      look_up(explain(head, address_));
    } else {
      lose(explain(head, address_));
    }
  }

  void on_body(ByteSpan bytes) override {
    const auto keep = shared_from_this();
    if (!table_) {
      deliver(bytes);
    } else if (table_->take(bytes)) {
      end_table();
    }
  }

  void on_end(const Ending& ending) override {
    const auto keep = shared_from_this();
    if (table_) {
      end_table();
    } else if (!is_open_ && version_.fall_back_after(ending)) {
      shut();
      open();
    } else {
      lose(ending.why);
    }
  }

  void begin_stream(const ResponseHead& head) {
    if (address_.version == 0 && head.version == 1) {
      version_.keep(Version::k1);
    }
    is_open_ = true;
    has_streamed_ = true;
    opened();
    if (is_open_) {
      send_position();
    }
  }

  void send_position() {
    if (!client_.gga) {
      return;
    }
    const std::string sentence = client_.gga();
    const std::string_view line = trim(sentence);
    if (!line.empty()) {
      exchange_->send(one_line(line) + "\r\n");
    }
    position_timer_.start(kPositionEveryS, [this] { send_position(); });
  }

  // The caster sent its table where the stream should be.
  void end_table() {
    const auto table = table_->table();
    lose(table ? no_such_mount(address_, *table) : table.error());
  }

  // Ends with what the caster has, where that can be learned.
  void look_up(Error why) {
    shut();
    look_up_ = fetch_sourcetable(
        loop(),
        address_,
        options(),
        client_,
        [this, why = std::move(why)](const Result<Sourcetable>& table) {
          const auto keep = shared_from_this();
          lose(table ? no_such_mount(address_, *table) : why);
        });
  }

  void lose(Error why) {
    if (why.where.empty()) {
      why.where = address_.text;
    }
    if (!is_open_) {
      version_.forget();
    }
    lost(std::move(why));
  }

  net::SourceAddress address_;
  ClientOptions client_;
  VersionChoice version_;
  std::shared_ptr<Exchange> exchange_;
  std::optional<TableCollector> table_;    // comes instead of a stream
  std::unique_ptr<TableRequest> look_up_;  // after a refusal
  Timer position_timer_;
  bool is_open_ = false, has_streamed_ = false;
};

}  // namespace

Result<std::unique_ptr<net::ByteSource>> open_client_source(
    net::Loop& loop,
    const net::SourceAddress& address,
    const net::SourceOptions& options,
    const ClientOptions& client) {
  if (!is_caster(address)) {
    return fail(ErrorCode::kUsage,
                "this source is no caster",
                address.text,
                "write ntrip://user@host:2101/MOUNT?password_file=F");
  }
  if (address.mount.empty()) {
    return fail(ErrorCode::kUsage,
                "no mountpoint is named",
                address.text,
                "write one behind the host: ntrip://host:2101/MOUNT");
  }
  return net::source_of(
      std::make_shared<ClientSource>(loop, address, options, client));
}

Result<std::unique_ptr<net::ByteSource>> open_any_source(
    net::Loop& loop,
    const net::SourceAddress& address,
    const net::SourceOptions& options,
    const ClientOptions& client) {
  return is_caster(address) ? open_client_source(loop, address, options, client)
                            : net::open_source(loop, address, options);
}

}  // namespace stillpoint::ntrip
