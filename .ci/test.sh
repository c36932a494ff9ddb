#!/usr/bin/env bash
# `make test`: lint, then the tests on SQLite, on PostgreSQL, and in a browser. What cannot run here is said, not hidden.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test
.ci/test-tools.sh
# Bytecode is kept: each worker and each server of the tests would compile everything again.
unset DATABASE_URL PORT SITE_URL PYTHONDONTWRITEBYTECODE
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}
pytest() { $BIN/python -m pytest -q -n 2 "$@"; }
# Only the folder is read: the others take longer to import than a page to look at. A file stays with one worker, since
# its tests often share a school.
browser() { pytest tests/browser --dist loadfile -m "not nightly" "$@"; }

# The school of the tests in a browser takes half a minute to make: it is made beside the other tests.
school=$(mktemp -d) preparing=; trap 'kill $preparing 2>/dev/null || true; rm -rf "$school"' EXIT
nice -n 5 $BIN/python -m tests.browser.server "$school/prepared" >"$school/log" 2>&1 & preparing=$!

step "Lint"
.ci/lint.sh

step "Tests on SQLite"
pytest -m "not browser and not served and not nightly"

# Every act, query and command there too, and every page; who may, and what else pages say, is asked on SQLite alone
# (all of it: .ci/with-postgres.sh .venv/bin/python -m pytest -m "not browser" --database-only).
step "Tests on PostgreSQL (what changes or reads the database, and every page)"
.ci/with-postgres.sh $BIN/python -m pytest -q -n 3 -m "not nightly" --database-only \
    tests/acts tests/commands tests/logbook tests/queries tests/test_matrix.py \
    --deselect tests/test_matrix.py::test_takes_no_other_method

# A browser on a busy machine may be late. What failed gets one more go, alone and in plain sight; twice is a failure.
wait $preparing || { cat "$school/log" >&2; stop "the school of these tests could not be made."; }
export SHOPSAFE_PREPARED=$school/prepared

step "Tests of a real server (what a bad line or a fault does to it)"
$BIN/python -m pytest -q -n 0 -s tests/faults -m "served and not nightly"
.ci/with-postgres.sh $BIN/python -m pytest -q -n 0 -s --database-only tests/faults/races -m served

step "Tests in a browser"
browser || { step "Once more, one at a time: what failed in the browser"; browser -n 0 --last-failed; }
