#!/usr/bin/env bash
# Makes .venv from the hashed requirements and sees that the libraries for print are there.
#   .ci/setup.sh run|test      `test` adds what the checks need
set -euo pipefail
. "$(dirname "$0")/lib.sh"

make_venv() {
    local python; python=$(find_python)
    if ! "$python" -c 'import venv, ensurepip' 2>/dev/null; then
        local package; package="python$("$python" -c 'import sys; print("%d.%d" % sys.version_info[:2])')-venv"
        can_install || stop "$python cannot make an environment. Install $package first."
        install "$package" || stop "could not install $package."
    fi
    say "Making .venv with $("$python" --version)."
    rm -rf .venv
    "$python" -m venv .venv
}

# fill KIND FILE...: installs again whenever the files are not those of the last time.
fill() {
    local stamp=.venv/filled-for-$1 now; shift
    now=$(cat "$@" | sha256sum)
    if [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$now" ]; then return; fi
    say "Installing from $* (a minute or two the first time)."
    : >.venv/unfinished  # taken away at the end: an installation cut short is begun anew, not built upon
    # shellcheck disable=SC2046
    $BIN/python -m pip install -qq --disable-pip-version-check --require-hashes $(printf -- '-r %s ' "$@") \
        || stop "could not install the requirements. The lines above say why."
    rm -f .venv/unfinished  # two at once: the other one has taken it away
    printf '%s\n' "$now" >"$stamp"
}

has_print_libraries() {
    $BIN/python - <<'END' 2>/dev/null
import ctypes
for library in ("libgobject-2.0.so.0", "libpango-1.0.so.0", "libpangoft2-1.0.so.0", "libharfbuzz.so.0", "libfontconfig.so.1"):
    ctypes.CDLL(library)
END
}

print_libraries() {
    local packages="libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
    if [ "$(uname)" != Linux ] || has_print_libraries; then return; fi
    can_install || stop "printing needs Pango. Install it: sudo apt-get install $packages"
    # shellcheck disable=SC2086
    install $packages || stop "could not install Pango, which printing needs: apt-get install $packages"
}

# Names in other scripts than Latin are drawn in Noto. Without it they are refused before printing, so this may fail.
print_fonts() {
    local missing=""
    has_font() { [ -n "$(find /usr/share/fonts /usr/local/share/fonts ~/.local/share/fonts -name "$1" 2>/dev/null | head -1)" ]; }
    has_font NotoSansDevanagari-Bold.ttf || missing="fonts-noto-core"
    has_font NotoSansCJK-Bold.ttc || missing="$missing fonts-noto-cjk"
    if [ -z "$missing" ]; then return; fi
    # shellcheck disable=SC2086
    if can_install && install $missing; then return; fi
    say "Names in Arabic, Chinese and other scripts can't be printed yet (sudo apt-get install $missing)."
}

if [ -e .venv/unfinished ] || ! new_enough $BIN/python || ! $BIN/python -m pip --version >/dev/null 2>&1; then make_venv; fi
case ${1:-run} in
    run) fill run requirements.txt ;;
    test) fill test requirements.txt requirements-dev.txt ;;
    *) stop "setup.sh knows run and test" ;;
esac
print_libraries
print_fonts
