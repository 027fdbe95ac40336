#!/usr/bin/env python3
"""Turns the built page (console/dist) into one C++ file.

    embed.py DIST OUT.cc

Each file becomes its bytes and, where that is smaller, its gzip form (written
without a time, so that two builds are equal). The id of the bundle is a hash
over names and bytes.
"""
import gzip
import hashlib
import pathlib
import sys

TYPES = {".html": "text/html; charset=utf-8", ".js": "text/javascript",
         ".css": "text/css", ".svg": "image/svg+xml",
         ".json": "application/json", ".txt": "text/plain; charset=utf-8",
         ".webmanifest": "application/manifest+json", ".png": "image/png"}
PACKED_LEVEL = 9
LINE = 20


def array(name, data):
    lines = [f"constexpr unsigned char {name}[] = {{"]
    for at in range(0, len(data), LINE):
        lines.append(",".join(str(b) for b in data[at:at + LINE]) + ",")
    lines.append("};")
    return "\n".join(lines)


def main():
    dist, out = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
    files = sorted(p for p in dist.rglob("*") if p.is_file())
    if not any(p.name == "index.html" for p in files):
        sys.exit(f"embed.py: {dist} has no index.html: build the page "
                 "(console/README.md)")
    digest = hashlib.sha256()
    arrays, rows = [], []
    for number, path in enumerate(files):
        name, data = path.relative_to(dist).as_posix(), path.read_bytes()
        if path.suffix not in TYPES:
            sys.exit(f"embed.py: no type is known for {name}")
        digest.update(name.encode() + b"\0" + data + b"\0")
        packed = gzip.compress(data, PACKED_LEVEL, mtime=0)
        arrays.append(array(f"kPlain{number}", data))
        view = f"text(kPlain{number}, sizeof(kPlain{number}))"
        packed_view = "{}"
        if len(packed) < len(data):
            arrays.append(array(f"kPacked{number}", packed))
            packed_view = f"text(kPacked{number}, sizeof(kPacked{number}))"
        rows.append(f'      {{"/{name}", "{TYPES[path.suffix]}", {view}, '
                    f"{packed_view}}},")
    text = "\n".join([
        "// Made by tools/embed.py from console/dist.",
        "#include <array>",
        "#include <cstddef>",
        "",
        '#include "stillpoint/api/console/bundle.h"',
        "",
        "namespace stillpoint::api {",
        "namespace {",
        "std::string_view text(const unsigned char* data, std::size_t size) {",
        "  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-reinterpret-cast)",
        "  return {reinterpret_cast<const char*>(data), size};",
        "}",
        *arrays,
        "}  // namespace",
        "",
        "std::span<const BundleFile> bundle_files() {",
        f"  static const std::array<BundleFile, {len(rows)}> kFiles{{{{",
        *rows,
        "  }};",
        "  return kFiles;",
        "}",
        "",
        "std::string_view bundle_id() {",
        f'  return "{digest.hexdigest()[:8]}";',
        "}",
        "",
        "}  // namespace stillpoint::api",
        ""])
    if not out.exists() or out.read_text() != text:
        out.write_text(text)


if __name__ == "__main__":
    main()
