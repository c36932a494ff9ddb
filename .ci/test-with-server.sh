#!/usr/bin/env bash
# The half of `make test` that asks a running server, with a browser or without one.
set -euo pipefail
. "$(dirname "$0")/lib.sh"

step "Tests of a real server (what a bad line or a fault does to it)"
$BIN/python -m pytest -q -n 0 -s tests/faults -m "served and not nightly"

# The school of these tests takes half a minute to make: it is made once, and each server has a copy.
place=$(mktemp -d); trap 'rm -rf "$place"' EXIT
export SHOPSAFE_PREPARED=$place/prepared
$BIN/python -m tests.browser.server "$SHOPSAFE_PREPARED"

# Only the folder is read: the others take longer to import than a page to look at. Three at a time, since a page waits
# for its server, and a test for its page.
browser() { $BIN/python -m pytest -q -n 3 --dist worksteal tests/browser -m "not nightly" -o cache_dir=.pytest_cache/browser "$@"; }

# A browser on a busy machine may be late. What failed gets one more go, alone and in plain sight; twice is a failure.
step "Tests in a browser"
browser || { step "Once more, one at a time: what failed in the browser"; browser -n 0 --last-failed; }
