// From the settings that people write to the options of the parts.
#pragma once

#include "stillpoint/compose/composer.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/ntrip/server/fan_options.h"
#include "stillpoint/people/door.h"
#include "stillpoint/station/recording.h"

namespace stillpoint::station {

RecordingLimits recording_limits(const config::ArchiveSection& section);
ntrip::FanOutLimits fan_out_limits(const config::RoversSection& section);
compose::ComposerOptions composer_options(const config::RoversSection& section);
people::DoorConfig door_config(
    const std::vector<config::MountpointSection>& mounts);

}  // namespace stillpoint::station
