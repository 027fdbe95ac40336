// The files of one simulated receiver while they grow.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "stillpoint/app/simulate_files.h"
#include "stillpoint/app/simulate_names.h"
#include "stillpoint/simulate/output/receiver_port.h"

namespace stillpoint::app {

// A sink with its file's name, for what is written line by line.
class TextFile {
 public:
  static Result<TextFile> open(ExportFiles& files, std::string name);

  // What is to be written; flush() empties it.
  std::string& text() { return text_; }
  Status flush(std::size_t beyond);
  Status finish();
  [[nodiscard]] const std::string& name() const { return name_; }

 private:
  TextFile(std::unique_ptr<ByteSink> sink, std::string name)
      : sink_(std::move(sink)), name_(std::move(name)) {}
  std::unique_ptr<ByteSink> sink_;
  std::string name_, text_;
};

// Notes a file that is closed.
Status add_written(const ExportFiles& files,
                   const char* kind,
                   const std::string& name,
                   std::vector<SimulatedFile>& into);

class SessionFiles {
 public:
  // What is handed in outlives this.
  static Result<SessionFiles> open(const SimulateArgs& args,
                                   const simulate::Sky& sky,
                                   std::size_t number,
                                   GnssTime from,
                                   GnssTime to,
                                   ExportFiles& files);

  Status add(const Epoch& epoch, const simulate::EpochTerms& terms);
  Status finish(SimulatedSession& session, rinex::LeftOutValues& left_out);

 private:
  explicit SessionFiles(ExportFiles& files) : files_(&files) {}
  Result<SessionFiles> open_texts(const SimulateArgs& args,
                                  const SimulatedNames& names);

  ExportFiles* files_;
  std::string observation_name_;
  std::optional<rinex::ObservationWriter> observations_;
  std::optional<simulate::RtcmStream> stream_;
  std::unique_ptr<simulate::ReceiverPort> port_;
  std::optional<TextFile> rtcm_, bytes_, truth_, terms_;
  std::vector<std::uint8_t> frames_;
};

}  // namespace stillpoint::app
