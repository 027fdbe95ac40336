// Names and addresses with placeholders, filled in for one file.
//
//   {agency} {campaign}  of the product line, e.g. GRG, MGX
//   {type}               FIN, RAP or ULT
//   {yyyy} {yy} {ddd}    year, its last two digits, day of year 001..366
//   {month} {day}        01..12, 01..31
//   {hh} {mm}            hour and minute
//   {week} {dow}         GPS week (4 digits or more), day of week 0 (Sunday)..6
//   {file}               in addresses: the file's name
//
// Times are those at which the file's span begins, GPST.
#pragma once

#include <string>
#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/fetch/product_line.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::fetch {

// The long names of the IGS are AAAVPPPTTT_YYYYDDDHHMM_LEN_SMP_CNT.FMT.gz:
// agency, version, campaign, type, begin, length, sampling, content, format
// (from memory of "Guidelines for Long Product Filenames in the IGS", 2022;
// the tests hold names of published files).
//
//   errors   kConfig for an unknown or unclosed placeholder, a name over 120
//            bytes, and any byte besides letters, digits and "._-" (and
//            placeholders); a name does not begin with a dot
Status check_file_template(std::string_view text);

// An address: https://, ftp:// or http://, a host, a path with {file}.
//
//   errors   kConfig as above, up to 500 bytes; also for a user or password in
//            it, which is then not repeated
Status check_url_template(std::string_view text);

// Fills in a template that was checked.
//
//   begins   of the file's span; year 1980 .. 2200
std::string file_name(const ProductLine& line, GnssTime begins);
std::string file_url(const Archive& archive,
                     const ProductLine& line,
                     GnssTime begins);

// The address without what follows a '?', which may be secret.
std::string public_part(std::string_view url);

// "https" of "https://host:443/path"; empty where there is none. The host is
// without its port, in small letters.
std::string scheme_of(std::string_view url);
std::string host_of(std::string_view url);

}  // namespace stillpoint::fetch
