#!/usr/bin/env bash
# `make test`: lint, then the tests on SQLite, on PostgreSQL, and in a browser. What cannot run here is said, not hidden.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test
.ci/test-tools.sh
# Bytecode is kept: each worker and each server of the tests would compile everything again.
unset DATABASE_URL PORT SITE_URL PYTHONDONTWRITEBYTECODE
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}
# Only the folder is read: the others take longer to import than a page to look at. Three at a time, since a page waits
# for its server, and a test for its page.
browser() { $BIN/python -m pytest -q tests/browser -n 3 -m "not nightly" "$@"; }

# The school of these tests takes half a minute to make, and the tests of a real server mostly wait: both run beside the
# tests on SQLite, which leave them the processor whenever they ask for it. They have test databases of their own.
school=$(mktemp -d) serving=; trap 'kill $serving 2>/dev/null || true; rm -rf "$school"' EXIT
export SHOPSAFE_PREPARED=$school/prepared
serve() {
    export SHOPSAFE_VAR=$school/var
    $BIN/python -m tests.browser.server "$school/prepared" || stop "the school of these tests could not be made."
    $BIN/python -m pytest -q -n 0 -s tests/faults -m "served and not nightly"
}

step "Lint"
.ci/lint.sh
serve >"$school/served" 2>&1 & serving=$!

step "Tests on SQLite"
nice -n 10 $BIN/python -m pytest -q -n 2 --dist worksteal -m "not browser and not served and not nightly"

step "Tests of a real server (what a bad line or a fault does to it)"
wait $serving || { cat "$school/served" >&2; stop "the tests of a real server failed."; }
tail -n 8 "$school/served"

step "Tests on PostgreSQL (the acts, the logbook and the queries; its commands and pages: make nightly)"
.ci/with-postgres.sh .ci/test-postgres.sh

# A browser on a busy machine may be late. What failed gets one more go, alone and in plain sight; twice is a failure.
step "Tests in a browser"
browser || { step "Once more, one at a time: what failed in the browser"; browser -n 0 --last-failed; }
