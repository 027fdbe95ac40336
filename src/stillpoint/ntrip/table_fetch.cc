#include <boost/asio/post.hpp>
#include <optional>
#include <utility>

#include "stillpoint/ntrip/client_parts.h"
#include "stillpoint/ntrip/client_source.h"
#include "stillpoint/ntrip/refusal.h"
#include "stillpoint/ntrip/table_collector.h"

namespace stillpoint::ntrip {
namespace {

// Held by its owner's TableRequest, and by itself while it calls.
class TableFetch final : public std::enable_shared_from_this<TableFetch>,
                         public ExchangeHandler {
 public:
  TableFetch(net::Loop& loop,
             const net::SourceAddress& address,
             const net::SourceOptions& options,
             const ClientOptions& client,
             std::function<void(Result<Sourcetable>)> done)
      : loop_(loop),
        address_(address),
        options_(options),
        client_(client),
        done_(std::move(done)),
        version_(address.version) {
    address_.mount.clear();
  }

  void start() {
    boost::asio::post(loop_.impl().context, [weak = weak_from_this()] {
      if (const auto self = weak.lock()) {
        self->ask();
      }
    });
  }

  void cancel() {
    done_ = nullptr;
    drop();
  }

 private:
  void ask() {
    if (!done_) {
      return;
    }
    auto request = request_of(
        address_, options_, version_.version(), client_.program_version, {});
    if (!request) {
      finish(fail(std::move(request.error())));
      return;
    }
    exchange_ = std::make_shared<Exchange>(
        loop_, endpoint_of(address_, options_), std::move(*request), *this);
  }

  void drop() {
    if (const auto old = std::exchange(exchange_, nullptr)) {
      old->close();
    }
  }

  void finish(Result<Sourcetable> result) {
    drop();
    const auto done = std::exchange(done_, nullptr);
    done(std::move(result));
  }

  void on_head(const ResponseHead& head) override {
    const auto keep = shared_from_this();
    if (head.kind == ResponseKind::kTable) {
      table_.emplace();
    } else if (version_.fall_back_after(head)) {
      drop();
      ask();
    } else if (head.kind == ResponseKind::kStream) {
      finish(fail(ErrorCode::kConfig,
                  "the caster sends a stream where its source table should be",
                  address_.text,
                  "name one of its mountpoints"));
    } else {
      finish(fail(explain(head, address_)));
    }
  }

  void on_body(ByteSpan bytes) override {
    const auto keep = shared_from_this();
    if (table_->take(bytes)) {
      finish(table_->table());
    }
  }

  void on_end(const Ending& ending) override {
    const auto keep = shared_from_this();
    if (table_ && !table_->empty()) {
      finish(table_->table());
    } else if (!table_ && version_.fall_back_after(ending)) {
      drop();
      ask();
    } else {
      finish(fail(ending.why));
    }
  }

  net::Loop& loop_;
  net::SourceAddress address_;
  net::SourceOptions options_;
  ClientOptions client_;
  std::function<void(Result<Sourcetable>)> done_;  // none when it has ended
  VersionChoice version_;
  std::shared_ptr<Exchange> exchange_;
  std::optional<TableCollector> table_;
};

class FetchOwner final : public TableRequest {
 public:
  explicit FetchOwner(std::shared_ptr<TableFetch> fetch)
      : fetch_(std::move(fetch)) {}
  FetchOwner(const FetchOwner&) = delete;
  FetchOwner& operator=(const FetchOwner&) = delete;
  ~FetchOwner() override { fetch_->cancel(); }

 private:
  std::shared_ptr<TableFetch> fetch_;
};

}  // namespace

std::unique_ptr<TableRequest> fetch_sourcetable(
    net::Loop& loop,
    const net::SourceAddress& address,
    const net::SourceOptions& options,
    const ClientOptions& client,
    std::function<void(Result<Sourcetable>)> done) {
  auto fetch = std::make_shared<TableFetch>(
      loop, address, options, client, std::move(done));
  fetch->start();
  return std::make_unique<FetchOwner>(std::move(fetch));
}

}  // namespace stillpoint::ntrip
