// Navigation data for tests of the writer, and how near two of them are.
#pragma once

#include <gtest/gtest.h>

#include <array>
#include <string>

#include "stillpoint/pack/byte_sink.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "stillpoint/rinex/navigation_writer.h"

namespace stillpoint::rinex::test {

// The whole file; a test that fails where nothing is written.
std::string written(const NavigationData& data,
                    const NavigationWriterOptions& options,
                    LeftOutValues* left_out = nullptr);

// As written, read again; a test that fails at a problem.
NavigationData read_back(const std::string& text);

// One set of every message that NavigationData has, at 2024-11-23, with
// numbers of all their digits. Nothing is a sky.
NavigationData every_message();

// Brings the sets into the order of a file: time, satellite, message.
void sort_as_written(NavigationData& data);

// Compares every field. Numbers may differ by `relative` of the greater one.
void expect_same(const NavigationData& a,
                 const NavigationData& b,
                 double relative);

}  // namespace stillpoint::rinex::test
