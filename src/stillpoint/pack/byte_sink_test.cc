#include "stillpoint/pack/byte_sink.h"

#include <gtest/gtest.h>
#include <sys/resource.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/pack/pack_test_support.h"

namespace stillpoint {
namespace {

namespace fs = std::filesystem;

class Folder {
 public:
  Folder() {
    std::string name = (fs::temp_directory_path() / "sinkXXXXXX").string();
    path_ = ::mkdtemp(name.data());
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  [[nodiscard]] std::string file(const char* name) const {
    return (path_ / name).string();
  }
  [[nodiscard]] std::size_t count() const {
    return static_cast<std::size_t>(
        std::distance(fs::directory_iterator(path_), {}));
  }

 private:
  fs::path path_;
};

std::string content(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

// A sink that takes so many writes and then has no more room.
class FullSink final : public ByteSink {
 public:
  explicit FullSink(int writes) : left_(writes) {}
  Status write(std::string_view /*bytes*/) override {
    return left_-- > 0 ? ok() : Status(fail(ErrorCode::kIo, "no room", "x"));
  }
  Status close() override { return ok(); }

 private:
  int left_;
};

std::string gzipped(const std::string& text, int level, std::size_t step) {
  std::string packed;
  auto sink = gzip_sink(memory_sink(packed), level);
  for (std::size_t at = 0; at < text.size(); at += step) {
    EXPECT_TRUE(sink->write(std::string_view(text).substr(at, step)));
  }
  EXPECT_TRUE(sink->close());
  return packed;
}

TEST(MemorySink, AppendsToWhatIsThere) {
  std::string text = "a";
  auto sink = memory_sink(text);
  ASSERT_TRUE(sink->write("bc"));
  ASSERT_TRUE(sink->write(""));
  ASSERT_TRUE(sink->close());
  EXPECT_EQ(text, "abc");
}

TEST(FileSink, FinalNameComesAtCloseOnly) {
  const Folder folder;
  const std::string path = folder.file("day.rnx");
  auto sink = file_sink(path);
  ASSERT_TRUE(sink.has_value());
  ASSERT_TRUE((*sink)->write("one"));
  EXPECT_FALSE(fs::exists(path));
  EXPECT_TRUE(fs::exists(path + ".part"));
  ASSERT_TRUE((*sink)->write(" two"));
  ASSERT_TRUE((*sink)->close());
  EXPECT_EQ(content(path), "one two");
  EXPECT_EQ(folder.count(), 1U);
}

TEST(FileSink, WithoutCloseTheOldFileStaysAndNothingElse) {
  const Folder folder;
  const std::string path = folder.file("day.rnx");
  std::ofstream(path) << "old";
  {
    auto sink = file_sink(path);
    ASSERT_TRUE(sink.has_value());
    ASSERT_TRUE((*sink)->write("new"));
  }
  EXPECT_EQ(content(path), "old");
  EXPECT_EQ(folder.count(), 1U);
}

TEST(FileSink, ReplacesAFileAndALeftOverPart) {
  const Folder folder;
  const std::string path = folder.file("day.rnx");
  std::ofstream(path) << "old and longer";
  std::ofstream(path + ".part") << "torn and longer";
  auto sink = file_sink(path);
  ASSERT_TRUE(sink.has_value());
  ASSERT_TRUE((*sink)->write("new"));
  ASSERT_TRUE((*sink)->close());
  EXPECT_EQ(content(path), "new");
  EXPECT_EQ(folder.count(), 1U);
}

TEST(FileSink, MissingFolderIsToldWithThePath) {
  const Folder folder;
  const auto sink = file_sink(folder.file("none/day.rnx"));
  ASSERT_FALSE(sink.has_value());
  EXPECT_EQ(sink.error().code, ErrorCode::kIo);
  EXPECT_NE(sink.error().where.find("none/day.rnx"), std::string::npos);
  EXPECT_NE(sink.error().what.find("No such file"), std::string::npos);
}

TEST(FileSink, ALinkUnderThePartsNameIsNotFollowed) {
  const Folder folder;
  const std::string path = folder.file("day.rnx");
  const std::string other = folder.file("other");
  std::ofstream(other) << "mine";
  fs::create_symlink(other, path + ".part");
  EXPECT_FALSE(file_sink(path).has_value());
  EXPECT_EQ(content(other), "mine");
}

TEST(FileSink, FolderInTheWayOfTheFinalNameLeavesNoPart) {
  const Folder folder;
  const std::string path = folder.file("day.rnx");
  fs::create_directory(path);
  auto sink = file_sink(path);
  ASSERT_TRUE(sink.has_value());
  ASSERT_TRUE((*sink)->write("new"));
  const Status closed = (*sink)->close();
  ASSERT_FALSE(closed.has_value());
  EXPECT_EQ(closed.error().code, ErrorCode::kIo);
  EXPECT_EQ(closed.error().where, path);
  EXPECT_FALSE(fs::exists(path + ".part"));
}

// Files of this process may not grow beyond a limit, as on a full disk.
class SmallDisk {
 public:
  explicit SmallDisk(::rlim_t bytes) {
    ::getrlimit(RLIMIT_FSIZE, &before_);
    handler_ = std::signal(SIGXFSZ, SIG_IGN);
    const ::rlimit limit{bytes, before_.rlim_max};
    ::setrlimit(RLIMIT_FSIZE, &limit);
  }
  SmallDisk(const SmallDisk&) = delete;
  SmallDisk& operator=(const SmallDisk&) = delete;
  ~SmallDisk() {
    ::setrlimit(RLIMIT_FSIZE, &before_);
    std::signal(SIGXFSZ, handler_);
  }

 private:
  ::rlimit before_{};
  void (*handler_)(int) = nullptr;
};

TEST(FileSink, FullDiskIsToldAndToldAgainAtClose) {
  const Folder folder;
  const std::string path = folder.file("day.rnx");
  auto sink = file_sink(path);
  ASSERT_TRUE(sink.has_value());
  Status wrote = ok();
  Status again = ok();
  Status closed = ok();
  {
    const SmallDisk disk(10'000);
    wrote = (*sink)->write(std::string(20'000, 'x'));
    again = (*sink)->write("more");
    closed = (*sink)->close();
  }
  ASSERT_FALSE(wrote.has_value());
  EXPECT_EQ(wrote.error().code, ErrorCode::kIo);
  EXPECT_EQ(wrote.error().where, path);
  EXPECT_FALSE(again.has_value());
  ASSERT_FALSE(closed.has_value());
  EXPECT_EQ(closed.error().what, wrote.error().what);
  EXPECT_EQ(folder.count(), 0U);
}

// kind: cross   zlib's packing unpacked by our reader, which checks the CRC and
// length of RFC 1952   tolerance: none
TEST(GzipSink, UnpacksToTheSameText) {
  const std::string text = test::sample_text(700'000);
  for (const int level : {1, 6, 9}) {
    const std::string packed = gzipped(text, level, 100'000);
    EXPECT_LT(packed.size(), text.size());
    auto stream = unpack_memory(packed, "packed");
    const auto got = test::drain(*stream);
    EXPECT_FALSE(got.failed) << got.error.text();
    EXPECT_EQ(got.bytes, text);
  }
}

// kind: published   source: RFC 1952, section 2.3: ID1 ID2 CM FLG MTIME XFL OS;
// level 6 has XFL 0, OS 255 is unknown   tolerance: none
TEST(GzipSink, HeaderHasNoNameNoTimeAndNoSystem) {
  using namespace std::string_literals;
  EXPECT_EQ(gzipped("text", 6, 4).substr(0, 10),
            "\x1f\x8b\x08\0\0\0\0\0\0\xff"s);
}

TEST(GzipSink, TheSameTextGivesTheSameBytesHoweverItComes) {
  const std::string text = test::sample_text(100'000);
  const std::string whole = gzipped(text, 6, text.size());
  EXPECT_EQ(gzipped(text, 6, 1'000), whole);
  EXPECT_EQ(gzipped(text, 6, 7), whole);
}

TEST(GzipSink, NothingWrittenIsAnEmptyMember) {
  const std::string packed = gzipped("", 6, 1);
  auto stream = unpack_memory(packed, "packed");
  const auto got = test::drain(*stream);
  EXPECT_FALSE(got.failed);
  EXPECT_TRUE(got.bytes.empty());
}

TEST(GzipSink, ErrorsOfTheNextSinkAreHandedOn) {
  const std::string text = test::sample_text(2'000'000);
  auto sink = gzip_sink(std::make_unique<FullSink>(1), 1);
  const Status wrote = sink->write(text);
  ASSERT_FALSE(wrote.has_value());
  EXPECT_EQ(wrote.error().what, "no room");
  // The header leaves at once, the text at the end.
  auto late = gzip_sink(std::make_unique<FullSink>(1), 1);
  ASSERT_TRUE(late->write("text"));
  EXPECT_FALSE(late->close().has_value());
}

TEST(GzipSink, IntoAFile) {
  const Folder folder;
  const std::string path = folder.file("day.rnx.gz");
  auto file = file_sink(path);
  ASSERT_TRUE(file.has_value());
  auto sink = gzip_sink(std::move(*file));
  ASSERT_TRUE(sink->write("text"));
  ASSERT_TRUE(sink->close());
  auto stream = open_unpacked(path);
  ASSERT_TRUE(stream.has_value());
  EXPECT_EQ(test::drain(**stream).bytes, "text");
}

}  // namespace
}  // namespace stillpoint
