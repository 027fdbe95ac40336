#include "stillpoint/profile/packet_toml.h"

#include <algorithm>
#include <string>
#include <utility>

#include "stillpoint/profile/profile_tables.h"
#include "stillpoint/profile/template.h"

namespace stillpoint::profile {
namespace {

constexpr std::size_t kMostBytes = 4096;  // of a packet that is not framed

std::string text(std::size_t number) {
  return std::to_string(number);
}

// The framing that the step names; nothing where it names none, or one that is
// not there or wrong in itself (then said).
const MakerFraming* framing_of(TableReader& reader,
                               std::span<const MakerFraming> framings) {
  const auto name = reader.text("framing");
  if (!name) {
    return nullptr;
  }
  std::string names;
  for (const MakerFraming& framing : framings) {
    if (framing.name == *name) {
      return find_mistake(framing) ? nullptr : &framing;
    }
    names += (names.empty() ? "" : ", ") + framing.name;
  }
  reader.wrong_value("framing",
                     names.empty() ? "this profile has no [[framing]]"
                                   : "this profile has " + names,
                     "name a [[framing]] of this profile, or leave it out");
  return nullptr;
}

// The fixed bytes [at, at + count) of a packet; nothing where one of them comes
// from a value or is not there.
std::optional<std::vector<std::uint8_t>> fixed_bytes(const HexTemplate& packet,
                                                     std::size_t at,
                                                     std::size_t count) {
  std::vector<std::uint8_t> found;
  std::size_t position = 0;
  for (const Piece& piece : packet.pieces) {
    for (const std::uint8_t byte : piece.bytes) {
      if (position >= at && position < at + count) {
        found.push_back(byte);
      }
      ++position;
    }
    position += piece.value ? piece.value->form.bytes : 0;
  }
  return found.size() == count ? std::optional(std::move(found)) : std::nullopt;
}

// The length field of a packet of `size` bytes with its checksum; nothing where
// it cannot say so.
std::optional<std::vector<std::uint8_t>> length_field(
    const MakerFraming& framing, std::size_t size) {
  if (size < framing.length_adds) {
    return std::nullopt;
  }
  const std::uint64_t value = size - framing.length_adds;
  if (value >> (8 * framing.length_bytes) != 0) {
    return std::nullopt;
  }
  std::vector<std::uint8_t> bytes;
  for (std::size_t i = 0; i < framing.length_bytes; ++i) {
    const std::size_t shift =
        8 * (framing.length_little_endian ? i : framing.length_bytes - 1 - i);
    bytes.push_back(static_cast<std::uint8_t>(value >> shift));
  }
  return bytes;
}

// What the receiver would not take for a packet of this framing.
std::optional<TextMistake> mistake_of(const MakerFraming& framing,
                                      HexTemplate& packet) {
  const std::size_t size = packet.size + checksum_bytes(framing.checksum);
  if (packet.size < header_bytes(framing) || size > framing.longest) {
    return TextMistake{
        text(size) + " bytes with the checksum; " + framing.name +
            " has packets of " +
            text(header_bytes(framing) + checksum_bytes(framing.checksum)) +
            " .. " + text(framing.longest),
        "give the packet from its sync to what stands before the checksum"};
  }
  if (fixed_bytes(packet, 0, framing.sync.size()) != framing.sync) {
    return TextMistake{
        "packets of " + framing.name + " begin with their sync",
        "give the packet from its sync to what stands before the checksum"};
  }
  const auto length = length_field(framing, size);
  if (!length) {
    return TextMistake{"no length field of " + framing.name + " can say " +
                           text(size) + " bytes",
                       "give the packet from its sync to what stands before "
                       "the checksum"};
  }
  if (packet.length_at && *packet.length_at != framing.length_offset) {
    return TextMistake{"{length} is byte " + text(*packet.length_at) + "; in " +
                           framing.name + " it is byte " +
                           text(framing.length_offset),
                       "put it there; the packet's first byte is number 0"};
  }
  if (packet.length_at) {
    std::copy(length->begin(),
              length->end(),
              packet.pieces[packet.length_piece].bytes.begin() +
                  static_cast<std::ptrdiff_t>(packet.length_index));
  } else if (fixed_bytes(packet, framing.length_offset, framing.length_bytes) !=
             length) {
    return TextMistake{"the length field does not say what the packet of " +
                           text(size) + " bytes has",
                       "write {length} in its place"};
  }
  return std::nullopt;
}

}  // namespace

void read_packet(TableReader& reader,
                 std::span<const MakerFraming> framings,
                 Step& step) {
  const MakerFraming* framing = framing_of(reader, framings);
  const bool is_framed = reader.has("framing");
  if (is_framed) {
    for (const std::string_view key :
         {"checksum", "checksum_start", "checksum_from", "checksum_order"}) {
      if (reader.has(key)) {
        reader.wrong(
            key, "(given); the framing has a checksum", "leave it out");
      }
    }
  } else {
    step.checksum = read_checksum(reader);
  }
  const auto hex = reader.text("hex");
  if (!hex || (is_framed && framing == nullptr)) {
    return;
  }
  auto packet = parse_hex_template(
      *hex, framing == nullptr ? 0 : framing->length_bytes, kMostBytes);
  std::optional<TextMistake> mistake;
  if (!packet) {
    mistake = packet.error();
  } else if (framing != nullptr) {
    mistake = mistake_of(*framing, *packet);
    step.checksum = checksum_of(*framing);
  } else if (packet->size < step.checksum.from) {
    mistake = TextMistake{text(packet->size) +
                              " bytes; the checksum begins behind them, at " +
                              text(step.checksum.from),
                          "give a smaller checksum_from"};
  }
  if (mistake) {
    reader.wrong_value("hex", mistake->what, mistake->remedy);
  } else {
    step.pieces = std::move(packet->pieces);
  }
}

}  // namespace stillpoint::profile
