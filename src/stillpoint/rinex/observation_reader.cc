#include "stillpoint/rinex/observation_reader.h"

#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/rinex/reader_state.h"

namespace stillpoint::rinex {
class ObservationReader::Impl {
 public:
  explicit Impl(std::unique_ptr<ByteStream> stream)
      : state(std::move(stream)) {}

  ReaderState state;
  std::unique_ptr<EpochSource> source;
  bool ended = false;
  std::optional<Error> failed;
};

ObservationReader::ObservationReader(std::unique_ptr<Impl> impl)
    : impl_(std::move(impl)) {}
ObservationReader::ObservationReader(ObservationReader&&) noexcept = default;
ObservationReader& ObservationReader::operator=(ObservationReader&&) noexcept =
    default;
ObservationReader::~ObservationReader() = default;

Result<ObservationReader> ObservationReader::open(
    std::unique_ptr<ByteStream> stream) {
  STILLPOINT_CHECK(stream != nullptr);
  auto impl = std::make_unique<Impl>(std::move(stream));
  ReaderState& state = impl->state;
  Result<int> compression = read_compression(state.lines);
  if (!compression) {
    return fail(std::move(compression.error()));
  }
  Status read = state.read_header();
  if (!read) {
    return fail(std::move(read.error()));
  }
  const double version = state.header.header().version;
  if (*compression != 0 && (version < 3) != (*compression == 1)) {
    return fail(ErrorCode::kBadHeader,
                "Hatanaka compression " + std::to_string(*compression) +
                    ".0 does not go with the RINEX version of this file",
                state.lines.where());
  }
  state.header.header().was_compact = *compression != 0;
  impl->source = *compression == 0 ? make_text_epochs(state)
                                   : make_hatanaka_epochs(state, *compression);
  return ObservationReader(std::move(impl));
}

const ObservationHeader& ObservationReader::header() const {
  return impl_->state.header.header();
}

Result<bool> ObservationReader::next(Epoch& epoch) {
  if (impl_->failed) {
    return fail(*impl_->failed);
  }
  if (impl_->ended) {
    epoch.clear();
    return false;
  }
  Result<bool> got = impl_->source->next(epoch);
  if (got) {
    const Status status = impl_->state.check_problems();
    if (!status) {
      got = fail(status.error());
    }
  }
  if (!got) {
    impl_->failed = got.error();
  } else {
    impl_->ended = !*got;
  }
  if (!got || !*got) {
    epoch.clear();
  }
  return got;
}

const std::vector<Problem>& ObservationReader::problems() const {
  return impl_->state.problems;
}

std::size_t ObservationReader::problem_count() const {
  return impl_->state.problem_count;
}

const std::vector<Event>& ObservationReader::events() const {
  return impl_->state.events;
}

}  // namespace stillpoint::rinex
