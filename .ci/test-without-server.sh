#!/usr/bin/env bash
# The half of `make test` that runs in its own processes: lint, then the tests on SQLite and on PostgreSQL.
set -euo pipefail
. "$(dirname "$0")/lib.sh"

step "Lint"
.ci/lint.sh

step "Tests on SQLite"
$BIN/python -m pytest -q -n 2 --dist worksteal -m "not browser and not served and not nightly"

step "Tests on PostgreSQL (what changes or reads the database, and every page)"
.ci/with-postgres.sh .ci/test-postgres.sh
