#!/usr/bin/env bash
# `make test`: lint, then the tests on SQLite, on PostgreSQL, and in a browser. What cannot run here is said, not hidden.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test
.ci/test-tools.sh
# Bytecode is kept: each worker and each server of the tests would compile everything again.
unset DATABASE_URL PORT SITE_URL PYTHONDONTWRITEBYTECODE
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}
pytest() { $BIN/python -m pytest -q -n 2 --dist worksteal "$@"; }
# Only the folder is read: the others take longer to import than a page to look at. Three at a time, since a page waits
# for its server, and a test for its page.
browser() { pytest tests/browser -n 3 -m "not nightly" "$@"; }

# The school of the tests in a browser takes half a minute to make: it is made beside the other tests.
school=$(mktemp -d) preparing=; trap 'kill $preparing 2>/dev/null || true; rm -rf "$school"' EXIT
nice -n 5 $BIN/python -m tests.browser.server "$school/prepared" >"$school/log" 2>&1 & preparing=$!

step "Lint"
.ci/lint.sh

step "Tests on SQLite"
pytest -m "not browser and not served and not nightly"

step "Tests on PostgreSQL (what changes or reads the database, and every page)"
.ci/with-postgres.sh .ci/test-postgres.sh

# A browser on a busy machine may be late. What failed gets one more go, alone and in plain sight; twice is a failure.
wait $preparing || { cat "$school/log" >&2; stop "the school of these tests could not be made."; }
export SHOPSAFE_PREPARED=$school/prepared

step "Tests of a real server (what a bad line or a fault does to it)"
$BIN/python -m pytest -q -n 0 -s tests/faults -m "served and not nightly"

step "Tests in a browser"
browser || { step "Once more, one at a time: what failed in the browser"; browser -n 0 --last-failed; }
