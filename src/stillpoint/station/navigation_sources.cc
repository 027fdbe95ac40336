#include "stillpoint/station/navigation_sources.h"

#include <utility>

#include "stillpoint/net/source_address.h"

namespace stillpoint::station {

class NavigationSources::One final : public net::SourceSink {
 public:
  One(NavigationSources& all, std::string name)
      : all_(all), name_(std::move(name)) {}

  Status open() {
    const auto address = net::parse_source(name_);
    if (!address) {
      return fail(address.error());
    }
    auto source = all_.open_(all_.loop_, *address);
    if (!source) {
      return fail(std::move(source.error()));
    }
    source_ = std::move(*source);
    source_->start(*this);
    return ok();
  }
  void stop() { source_->stop(); }

 private:
  void on_bytes(ByteSpan bytes) override {
    // Ephemerides come again: what does not fit is no loss.
    all_.decode_.push({shared_bytes(bytes), all_.clocks_.wall(), true});
  }

  void on_status(const net::SourceStatus& status) override {
    const std::string why = status.why ? status.why->text() : "";
    if (status.state == net::SourceState::kOpen) {
      all_.log_.log(LogLevel::kInfo,
                    "a source of ephemerides is open",
                    {{"source", name_}});
    } else if (!why.empty() && why != told_) {
      all_.log_.log(LogLevel::kWarning,
                    "a source of ephemerides is lost or not there",
                    {{"source", name_}, {"why", why}});
    }
    told_ = why;
  }

  NavigationSources& all_;
  const std::string name_;
  std::string told_;
  std::unique_ptr<net::ByteSource> source_;
};

NavigationSources::NavigationSources(net::Loop& loop,
                                     OpenSource open,
                                     ByteQueue& decode,
                                     Clocks clocks,
                                     Logger log)
    : loop_(loop),
      open_(std::move(open)),
      decode_(decode),
      clocks_(std::move(clocks)),
      log_(std::move(log)) {}

NavigationSources::~NavigationSources() = default;

Status NavigationSources::add(const std::string& source) {
  auto one = std::make_unique<One>(*this, source);
  if (auto opened = one->open(); !opened) {
    return opened;
  }
  sources_.push_back(std::move(one));
  return ok();
}

void NavigationSources::stop() {
  for (const auto& source : sources_) {
    source->stop();
  }
}

}  // namespace stillpoint::station
