#!/usr/bin/env bash
# `make races`: every pair of acts at the same moment, at two servers, on both engines. It must come out as one of the orders.
set -euo pipefail
. "$(dirname "$0")/../lib.sh"
.ci/setup.sh test
unset DATABASE_URL PORT SITE_URL
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}
rounds=${ROUNDS:-20} seed=${SEED:-$RANDOM}

step "Races on SQLite (some minutes)"
$BIN/python -m tests.faults.races.run --rounds "$rounds" --seed "$seed"
step "Races on PostgreSQL (some minutes)"
.ci/with-postgres.sh $BIN/python -m tests.faults.races.run --rounds "$rounds" --seed "$seed"
