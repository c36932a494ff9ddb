#!/usr/bin/env bash
# The part of `make test` that runs on PostgreSQL: .ci/with-postgres.sh names the server, and the first of the two keeps
# a migrated database there for the second.
set -euo pipefail
. "$(dirname "$0")/lib.sh"

# Every act, query and command there too, and every page; who may, and what else pages say, is asked on SQLite alone
# (all of it: .ci/with-postgres.sh .venv/bin/python -m pytest -m "not browser" --database-only).
$BIN/python -m pytest -q -n 3 --dist worksteal -m "not nightly" --database-only \
    tests/acts tests/commands tests/logbook tests/queries tests/test_matrix.py \
    --deselect tests/test_matrix.py::test_takes_no_other_method
$BIN/python -m pytest -q -n 0 -s --database-only tests/faults/races -m served
