#include "stillpoint/pack/byte_sink.h"

namespace stillpoint {
namespace {

class MemorySink final : public ByteSink {
 public:
  explicit MemorySink(std::string& into) : into_(into) {}
  Status write(std::string_view bytes) override {
    into_ += bytes;
    return ok();
  }
  Status close() override { return ok(); }

 private:
  std::string& into_;
};

}  // namespace

std::unique_ptr<ByteSink> memory_sink(std::string& into) {
  return std::make_unique<MemorySink>(into);
}

}  // namespace stillpoint
