# shellcheck shell=sh
# What tools/run and tools/test share. Read by them with '.', never run by itself.

say() {
    printf '%s\n' "tools: $*" >&2
}

fail() {
    say "$*"
    exit 1
}

# True where the command exists.
have() {
    command -v "$1" >/dev/null 2>&1
}

# What the program needs to be built: a C compiler for the SQLite that is built in, and for linking.
BUILD_PACKAGES="gcc libc6-dev"

# What a window needs to open, under X11 or Wayland. A desktop has nearly all of it.
WINDOW_PACKAGES="libx11-6 libx11-xcb1 libxcb1 libxcursor1 libxi6 libxrandr2 libxkbcommon0 libxkbcommon-x11-0
libwayland-client0 libwayland-cursor0 libwayland-egl1 libgl1 libegl1 libgl1-mesa-dri"

# What it takes to show the window where there is no screen, and to photograph it.
SCREENLESS_PACKAGES="xvfb openbox xdotool imagemagick"
# Reads printed sheets back: their text and their picture.
SHEETS_PACKAGES="poppler-utils"

# Installs those of the named Debian packages that are missing, and says which. On another system it only says what is needed.
need_packages() {
    if ! have dpkg-query || ! have apt-get; then
        say "this is not Debian or one of its children, so nothing is installed here; what is needed, by Debian's names:" "$@"
        return 0
    fi
    missing=""
    for package in "$@"; do
        status=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
        [ "$status" = installed ] || missing="$missing $package"
    done
    [ -n "$missing" ] || return 0
    as_root=""
    if [ "$(id -u)" -ne 0 ]; then
        have sudo || fail "missing:$missing; install them as root (apt-get install$missing), then try again"
        as_root="sudo"
    fi
    say "installing with apt-get:$missing"
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q update >/dev/null || say "apt-get update failed; trying with the lists at hand"
    # Package names hold no spaces, so the list is split on purpose.
    # shellcheck disable=SC2086
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q -y --no-install-recommends install $missing >/dev/null </dev/null \
        || fail "could not install:$missing"
}

# Finds cargo, also where the shell was not told of it yet.
need_cargo() {
    if ! have cargo && [ -x "${CARGO_HOME:-${HOME:-/}/.cargo}/bin/cargo" ]; then
        PATH="${CARGO_HOME:-${HOME:-/}/.cargo}/bin:$PATH"
        export PATH
    fi
    have cargo || fail "Rust is missing: install it (rustup gives the newest), then try again"
}
