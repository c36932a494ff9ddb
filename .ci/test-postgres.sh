#!/usr/bin/env bash
# The part of `make test` that runs on PostgreSQL: .ci/with-postgres.sh names the server, and the first of the two keeps
# a migrated database there for the second.
set -euo pipefail
. "$(dirname "$0")/lib.sh"

# Every act and query there too. Commands, every page, and who may do what are asked on SQLite here, and on both engines
# by `make nightly`.
$BIN/python -m pytest -q -n 3 --dist worksteal -m "not nightly" --database-only \
    tests/acts tests/logbook tests/queries
$BIN/python -m pytest -q -n 0 -s --database-only tests/faults/races -m served
