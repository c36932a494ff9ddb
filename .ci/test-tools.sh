#!/usr/bin/env bash
# Sees that Chromium, poppler, qpdf and axe-core are there for the tests; says plainly what will be skipped without them.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
AXE=4.14.1

# need PROGRAM PACKAGE WHAT: installs it where we may, else says what is skipped.
need() {
    if command -v "$1" >/dev/null; then return; fi
    if can_install && install "$2"; then return; fi
    say "SKIPPED: $3 (no $1; sudo apt-get install $2)."
}

# The browser without its windows costs half as much a page; the whole one will do where there is no other.
if ! command -v chromium-headless-shell >/dev/null && ! { can_install && install chromium-headless-shell; } then
    need chromium chromium "the tests in a browser"
fi
need pdftotext poppler-utils "the tests that read our PDFs"
need qpdf qpdf "the tests that check our PDFs"

# The prefix is said: without it npm would take a node_modules in a folder above for ours.
has_axe() { grep -qs "\"version\": \"$AXE\"" node_modules/axe-core/package.json; }
if ! has_axe; then
    if ! command -v npm >/dev/null; then
        say "SKIPPED: the accessibility tests (no npm; sudo apt-get install npm)."
    else
        npm install --prefix . --silent --no-save --no-package-lock --no-audit --no-fund "axe-core@$AXE" >/dev/null 2>&1 || true
        has_axe || say "SKIPPED: the accessibility tests (npm could not install axe-core $AXE)."
    fi
fi
