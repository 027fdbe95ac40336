# What the commands of this folder share; sourced, never run. Everything said
# here goes to stderr: stdout belongs to the program or to ctest.
# shellcheck shell=bash

root=$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd -P)

# The compiler's cache serves every clone of the project alike.
export CCACHE_BASEDIR=$root CCACHE_NOHASHDIR=true

say() { printf '%s\n' "stillpoint: $*" >&2; }

# die CODE TEXT…: exit codes are those of the program (4: system).
die() {
  local code=$1
  shift
  say "$@"
  exit "$code"
}

# packages_of SET…: the names of scripts/packages.txt in these sets.
packages_of() {
  awk -v sets=" $* " '$1 !~ /^#/ && NF >= 2 && index(sets, " " $1 " ") {
    print $2 }' "$root/scripts/packages.txt"
}

# missing_of NAME…: those that dpkg does not know as installed.
missing_of() {
  local have
  have=$(dpkg-query -W -f='${Package} ${db:Status-Status}\n' "$@" 2>/dev/null |
    awk '$2 == "installed" { print $1 }' || true)
  printf '%s\n' "$@" | grep -vxF -e "${have:-:}" || true
}

# need_packages SET…: installs what is missing; silent when nothing is.
need_packages() {
  command -v dpkg-query >/dev/null ||
    die 4 "no dpkg-query here: this script installs for Debian 12 only;" \
      "install what scripts/packages.txt lists, then build by CMakePresets.json"
  local wanted missing as_root=()
  mapfile -t wanted < <(packages_of "$@")
  mapfile -t missing < <(missing_of "${wanted[@]}")
  ((${#missing[@]})) || return 0
  say "installing ${missing[*]}"
  if ((EUID != 0)); then
    command -v sudo >/dev/null ||
      die 4 "not root and no sudo: ask an administrator for" \
        "'apt-get install ${missing[*]}', then start again"
    as_root=(sudo)
  fi
  {
    "${as_root[@]}" apt-get -q update &&
      "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
        apt-get -q -y --no-install-recommends install "${missing[@]}"
  } </dev/null >&2 || die 4 "apt-get could not install: ${missing[*]}"
}

# data_dir: where real station-days are, or nothing (as in CMakeLists.txt).
data_dir() {
  if [[ -n ${STILLPOINT_DATA:-} ]]; then
    printf '%s\n' "$STILLPOINT_DATA"
  elif [[ -d $root/../shared/data ]]; then
    (cd -- "$root/../shared/data" && pwd -P)
  fi
}

# configure PRESET: only when never done, or done for another folder, other
# presets or other data; ninja itself notices changed CMake files.
configure() {
  local dir=$root/build/$1 key
  key="$root $(data_dir) $(cksum <"$root/CMakePresets.json")"
  [[ -f $dir/build.ninja && $(cat "$dir/configured" 2>/dev/null) == "$key" ]] &&
    return 0
  (cd -- "$root" && cmake --fresh --preset "$1" --log-level=WARNING) >&2 ||
    die 4 "the $1 preset does not configure; the reason stands above"
  printf '%s\n' "$key" >"$dir/configured"
}

# up_to_date PRESET [TARGET…]: configured, and ninja has nothing to do.
up_to_date() {
  local dir=$root/build/$1
  shift
  [[ -f $dir/build.ninja ]] &&
    ninja -C "$dir" -n "$@" 2>/dev/null | grep -q 'no work to do'
}

# build PRESET [TARGET…]: silent when there is nothing to do.
build() {
  local preset=$1
  shift
  configure "$preset"
  up_to_date "$preset" "$@" && return 0
  say "building $preset ${*:-everything}"
  ninja -C "$root/build/$preset" "$@" >&2 ||
    die 4 "the $preset preset does not build; the reason stands above"
}
