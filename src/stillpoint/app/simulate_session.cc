#include "stillpoint/app/simulate_session.h"

#include "stillpoint/simulate/output/observation_file.h"
#include "stillpoint/simulate/output/truth_text.h"

namespace stillpoint::app {
namespace {

constexpr std::size_t kTextAtOnce = std::size_t{1} << 16;

}  // namespace

Result<TextFile> TextFile::open(ExportFiles& files, std::string name) {
  auto sink = files.open(name);
  if (!sink) {
    return fail(std::move(sink.error()));
  }
  return TextFile(std::move(*sink), std::move(name));
}

Status TextFile::flush(std::size_t beyond) {
  if (text_.size() <= beyond) {
    return ok();
  }
  Status written = sink_->write(text_);
  text_.clear();
  return written;
}

Status TextFile::finish() {
  if (Status written = flush(0); !written) {
    return written;
  }
  return sink_->close();
}

Status add_written(const ExportFiles& files,
                   const char* kind,
                   const std::string& name,
                   std::vector<SimulatedFile>& into) {
  auto written = files.written(name);
  if (!written) {
    return fail(std::move(written.error()));
  }
  into.push_back({kind, std::move(*written)});
  return ok();
}

Result<SessionFiles> SessionFiles::open(const SimulateArgs& args,
                                        const simulate::Sky& sky,
                                        std::size_t number,
                                        GnssTime from,
                                        GnssTime to,
                                        ExportFiles& files) {
  const simulate::ReceiverScenario& receiver = sky.scenario().receivers[number];
  SessionFiles s(files);
  const SimulatedNames names(args, receiver, from, to);
  if (args.rinex) {
    s.observation_name_ = names.observations();
    auto sink = files.open(s.observation_name_);
    if (!sink) {
      return fail(std::move(sink.error()));
    }
    auto writer = rinex::ObservationWriter::begin(
        simulate::observation_header(
            sky, receiver, from, to - Duration{receiver.interval_s}),
        {.version = args.version, .hatanaka = args.hatanaka},
        std::move(*sink));
    if (!writer) {
      return fail(std::move(writer.error()));
    }
    s.observations_.emplace(std::move(*writer));
  }
  if (args.rtcm) {
    s.stream_.emplace(
        sky,
        receiver,
        simulate::RtcmStreamOptions{.station_id = static_cast<int>(number) + 1,
                                    .level = args.msm_level});
  }
  if (args.bytes) {
    s.port_ = std::make_unique<simulate::ReceiverPort>(
        sky,
        receiver,
        simulate::RtcmStreamOptions{.station_id = static_cast<int>(number) + 1,
                                    .level = args.msm_level});
  }
  return s.open_texts(args, names);
}

Result<SessionFiles> SessionFiles::open_texts(const SimulateArgs& args,
                                              const SimulatedNames& names) {
  const auto open = [&](std::string name,
                        std::optional<TextFile>& into,
                        std::string heading) -> Status {
    auto file = TextFile::open(*files_, std::move(name));
    if (!file) {
      return fail(std::move(file.error()));
    }
    file->text() = std::move(heading);
    into.emplace(std::move(*file));
    return ok();
  };
  Status status =
      open(names.beside("truth.csv"), truth_, simulate::truth_heading());
  if (status && args.rtcm) {
    status = open(names.beside("rtcm.bin"), rtcm_, {});
  }
  if (status && args.bytes) {
    status = open(names.beside("port.bin"), bytes_, {});
  }
  if (status && args.terms) {
    status = open(names.beside("terms.csv"), terms_, simulate::terms_heading());
  }
  if (!status) {
    return fail(std::move(status.error()));
  }
  return std::move(*this);
}

Status SessionFiles::add(const Epoch& epoch,
                         const simulate::EpochTerms& terms) {
  if (observations_) {
    if (Status added = observations_->add(epoch); !added) {
      return added;
    }
  }
  if (stream_) {
    frames_.clear();
    if (Status added = stream_->add(epoch, frames_); !added) {
      return added;
    }
    rtcm_->text().append(frames_.begin(), frames_.end());
    if (Status written = rtcm_->flush(kTextAtOnce); !written) {
      return written;
    }
  }
  if (port_) {
    const auto sent = port_->epoch(epoch);
    if (!sent) {
      return fail(sent.error());
    }
    bytes_->text().append(sent->begin(), sent->end());
    if (Status written = bytes_->flush(kTextAtOnce); !written) {
      return written;
    }
  }
  if (terms_) {
    simulate::append_terms(terms, terms_->text());
    if (Status written = terms_->flush(kTextAtOnce); !written) {
      return written;
    }
  }
  simulate::append_truth(terms, truth_->text());
  return truth_->flush(kTextAtOnce);
}

Status SessionFiles::finish(SimulatedSession& session,
                            rinex::LeftOutValues& left_out) {
  if (observations_) {
    if (Status done = observations_->finish(); !done) {
      return done;
    }
    for (const auto& [what, count] : observations_->left_out()) {
      left_out[what] += count;
    }
    if (Status added = add_written(
            *files_, "observations", observation_name_, session.files);
        !added) {
      return added;
    }
  }
  const std::pair<const char*, std::optional<TextFile>*> texts[] = {
      {"rtcm", &rtcm_},
      {"bytes", &bytes_},
      {"truth", &truth_},
      {"terms", &terms_}};
  for (const auto& [kind, file] : texts) {
    if (!*file) {
      continue;
    }
    if (Status done = (*file)->finish(); !done) {
      return done;
    }
    if (Status added =
            add_written(*files_, kind, (*file)->name(), session.files);
        !added) {
      return added;
    }
  }
  return ok();
}

}  // namespace stillpoint::app
