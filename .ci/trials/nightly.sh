#!/usr/bin/env bash
# `make nightly`: what repeats `make test` for every kind of question, size, role and language, and on PostgreSQL as a whole.
set -euo pipefail
. "$(dirname "$0")/../lib.sh"
.ci/setup.sh test
.ci/test-tools.sh
unset DATABASE_URL PORT SITE_URL
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test} MACHINE_EXAMPLES=${MACHINE_EXAMPLES:-50}
failed=""
part() { local name=$1; shift; step "$name"; "$@" || failed="$failed $name,"; }

part "Long tests on SQLite" $BIN/python -m pytest -q -n 2 --dist worksteal -m "nightly and not browser and not served"
part "Long tests of a real server" $BIN/python -m pytest -q -n 0 -s tests/faults -m "served and nightly"
part "Orders of acts on SQLite" env HYPOTHESIS_PROFILE=nightly $BIN/python -m pytest -q -n 2 tests/acts/whole
part "All tests on PostgreSQL" .ci/with-postgres.sh $BIN/python -m pytest -q -n 3 --dist worksteal --database-only \
    -m "not browser and not served"
part "Long tests in a browser" $BIN/python -m pytest -q -n 3 tests/browser -m nightly
[ -z "$failed" ] || stop "these parts failed:${failed%,}"
