# What the scripts share: saying things, finding Python, asking Debian for a package. Sourced, never run.

cd "$(dirname "${BASH_SOURCE[0]}")/.."
PYTHON_NEEDED="3.12 or newer"
BIN=.venv/bin

say() { printf '%s\n' "$*" >&2; }
stop() { say "shopsafe: $*"; exit 1; }
step() { printf '\n== %s\n' "$*"; }

can_install() { [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; }

# install PACKAGE...: by apt-get, quietly; the lists are fetched once if a package is not known yet.
install() {
    say "Installing $* (apt-get)."
    local log; log=$(mktemp)
    if ! DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@" >"$log" 2>&1; then
        { apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@"; } \
            >"$log" 2>&1 || { tail -5 "$log" >&2; rm -f "$log"; return 1; }
    fi
    rm -f "$log"
}

new_enough() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 12))' >/dev/null 2>&1; }

# The first Python that really runs and is new enough: a name on the path may be a shim without a Python behind it.
find_python() {
    local name
    for name in ${PYTHON:-} python3.13 python3.12 python3.14 python3; do
        if command -v "$name" >/dev/null && new_enough "$name"; then command -v "$name"; return; fi
    done
    local found="none was found"
    if command -v python3 >/dev/null; then found="$(python3 --version 2>/dev/null || echo 'python3 does not run') is here"; fi
    stop "needs Python $PYTHON_NEEDED ($found). Install it, or name it: make run PYTHON=/path/to/python3.13"
}
