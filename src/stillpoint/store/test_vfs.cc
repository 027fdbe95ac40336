#include "stillpoint/store/test_vfs.h"

#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <new>

namespace stillpoint::test {
namespace {

TestDisk* g_disk = nullptr;      // the one that lives; one thread
sqlite3_vfs* g_real = nullptr;   // SQLite's own
sqlite3_vfs g_vfs{};             // ours
sqlite3_io_methods g_methods{};  // forwards all, watches some

// SQLite allocates szOsFile bytes: this head, then the real file.
struct Shim {
  sqlite3_file base;
  char name[256];
};

Shim* shim(sqlite3_file* file) {
  return reinterpret_cast<Shim*>(file);
}
sqlite3_file* real(sqlite3_file* file) {
  return reinterpret_cast<sqlite3_file*>(shim(file) + 1);
}

std::string short_name(const char* path) {
  return std::filesystem::path(path).filename().string();
}

int refusal() {
  switch (g_disk->fault) {
    case DiskFault::kFull:
      return SQLITE_FULL;
    case DiskFault::kReadOnly:
      return SQLITE_READONLY;
    case DiskFault::kNone:
      break;
  }
  return SQLITE_OK;
}

int write_file(sqlite3_file* file,
               const void* bytes,
               int size,
               sqlite3_int64 offset) {
  int code = refusal();
  if (code == SQLITE_OK) {
    code = real(file)->pMethods->xWrite(real(file), bytes, size, offset);
  }
  if (code == SQLITE_OK) {
    g_disk->wrote(shim(file)->name,
                  {static_cast<std::size_t>(offset),
                   std::string(static_cast<const char*>(bytes),
                               static_cast<std::size_t>(size)),
                   false});
  }
  return code;
}

int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
  const int code = real(file)->pMethods->xTruncate(real(file), size);
  if (code == SQLITE_OK) {
    g_disk->wrote(shim(file)->name,
                  {static_cast<std::size_t>(size), std::string{}, true});
  }
  return code;
}

int sync_file(sqlite3_file* file, int flags) {
  const int code = real(file)->pMethods->xSync(real(file), flags);
  if (code == SQLITE_OK) {
    g_disk->did_sync(shim(file)->name);
  }
  return code;
}

void forward_methods() {
  g_methods.iVersion = 2;  // without memory-mapped reads
  g_methods.xClose = [](sqlite3_file* f) {
    return real(f)->pMethods->xClose(real(f));
  };
  g_methods.xRead = [](sqlite3_file* f, void* to, int n, sqlite3_int64 at) {
    return real(f)->pMethods->xRead(real(f), to, n, at);
  };
  g_methods.xWrite = write_file;
  g_methods.xTruncate = truncate_file;
  g_methods.xSync = sync_file;
  g_methods.xFileSize = [](sqlite3_file* f, sqlite3_int64* size) {
    return real(f)->pMethods->xFileSize(real(f), size);
  };
  g_methods.xLock = [](sqlite3_file* f, int lock) {
    return real(f)->pMethods->xLock(real(f), lock);
  };
  g_methods.xUnlock = [](sqlite3_file* f, int lock) {
    return real(f)->pMethods->xUnlock(real(f), lock);
  };
  g_methods.xCheckReservedLock = [](sqlite3_file* f, int* held) {
    return real(f)->pMethods->xCheckReservedLock(real(f), held);
  };
  g_methods.xFileControl = [](sqlite3_file* f, int what, void* with) {
    return real(f)->pMethods->xFileControl(real(f), what, with);
  };
  g_methods.xSectorSize = [](sqlite3_file* f) {
    return real(f)->pMethods->xSectorSize(real(f));
  };
  // A card keeps no promise about what it does with a torn write.
  g_methods.xDeviceCharacteristics = [](sqlite3_file*) { return 0; };
  g_methods.xShmMap =
      [](sqlite3_file* f, int page, int size, int extend, void volatile** at) {
        return real(f)->pMethods->xShmMap(real(f), page, size, extend, at);
      };
  g_methods.xShmLock = [](sqlite3_file* f, int offset, int n, int flags) {
    return real(f)->pMethods->xShmLock(real(f), offset, n, flags);
  };
  g_methods.xShmBarrier = [](sqlite3_file* f) {
    real(f)->pMethods->xShmBarrier(real(f));
  };
  g_methods.xShmUnmap = [](sqlite3_file* f, int del) {
    return real(f)->pMethods->xShmUnmap(real(f), del);
  };
}

// As the operating system does on a disk that is mounted read-only: an
// existing file opens, for reading.
int open_file(sqlite3_vfs*,
              const char* name,
              sqlite3_file* file,
              int flags,
              int* out_flags) {
  file->pMethods = nullptr;
  if (g_disk->fault == DiskFault::kReadOnly) {
    flags &= ~(SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
    flags |= SQLITE_OPEN_READONLY;
  }
  const int code = g_real->xOpen(g_real, name, real(file), flags, out_flags);
  if (code == SQLITE_OK) {
    const std::string known = name == nullptr ? "" : short_name(name);
    std::memset(shim(file)->name, 0, sizeof(shim(file)->name));
    std::memcpy(shim(file)->name,
                known.data(),
                std::min(known.size(), sizeof(shim(file)->name) - 1));
    file->pMethods = &g_methods;
  }
  return code;
}

int delete_file(sqlite3_vfs*, const char* name, int sync_folder) {
  const int code = g_real->xDelete(g_real, name, sync_folder);
  if (code == SQLITE_OK) {
    g_disk->deleted(short_name(name));
  }
  return code;
}

void apply(std::string& content,
           const TestDisk::Change& change,
           std::size_t size) {
  if (change.truncates) {
    content.resize(std::min(content.size(), change.offset));
    return;
  }
  content.resize(std::max(content.size(), change.offset + size));
  content.replace(change.offset, size, change.bytes, 0, size);
}

}  // namespace

TestDisk::TestDisk() : previous_(sqlite3_vfs_find(nullptr)) {
  g_disk = this;
  g_real = previous_;
  g_vfs = *g_real;
  g_vfs.zName = "test-disk";
  g_vfs.pNext = nullptr;
  g_vfs.szOsFile = static_cast<int>(sizeof(Shim)) + g_real->szOsFile;
  g_vfs.xOpen = open_file;
  g_vfs.xDelete = delete_file;
  forward_methods();
  sqlite3_vfs_register(&g_vfs, 1);
}

TestDisk::~TestDisk() {
  sqlite3_vfs_unregister(&g_vfs);
  sqlite3_vfs_register(previous_, 1);
  g_disk = nullptr;
}

DiskImage TestDisk::after_power_loss(std::minstd_rand& chance) const {
  DiskImage image;
  for (const auto& [name, file] : files_) {
    std::string& content = image[name] = file.synced;
    for (const Change& change : file.pending) {
      const auto lot = chance() % 3;
      if (lot == 1) {
        apply(content, change, change.bytes.size());
      } else if (lot == 2 && !change.truncates) {
        apply(content, change, chance() % (change.bytes.size() + 1));
      }
    }
  }
  return image;
}

DiskImage TestDisk::synced() const {
  DiskImage image;
  for (const auto& [name, file] : files_) {
    image[name] = file.synced;
  }
  return image;
}

void TestDisk::wrote(const std::string& name, Change change) {
  files_[name].pending.push_back(std::move(change));
  did_something();
}

void TestDisk::did_sync(const std::string& name) {
  File& file = files_[name];
  for (const Change& change : file.pending) {
    apply(file.synced, change, change.bytes.size());
  }
  file.pending.clear();
  did_something();
}

void TestDisk::deleted(const std::string& name) {
  files_.erase(name);
  did_something();
}

void TestDisk::did_something() {
  ++operations_;
  if (after_operation != nullptr) {
    after_operation(context);
  }
}

}  // namespace stillpoint::test
