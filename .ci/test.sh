#!/usr/bin/env bash
# `make test`: lint, then the tests on SQLite, on PostgreSQL, and in a browser. What cannot run here is said, not hidden.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test
.ci/test-tools.sh
unset DATABASE_URL PORT SITE_URL
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}
pytest() { $BIN/python -m pytest -q -n 2 "$@"; }

step "Lint"
.ci/lint.sh

step "Tests on SQLite"
pytest -m "not browser and not nightly"

step "Tests on PostgreSQL (what touches the database)"
.ci/with-postgres.sh $BIN/python -m pytest -q -n 2 -m "not browser and not nightly" --database-only

step "Tests in a browser"
# A browser on a busy machine may be late. What failed gets one more go, alone and in plain sight; twice is a failure.
pytest -m browser || { step "Once more, one at a time: what failed in the browser"; pytest -n 0 -m browser --last-failed; }
