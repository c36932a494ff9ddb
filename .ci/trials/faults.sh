#!/usr/bin/env bash
# `make faults`: a working server is killed over and over, on both engines. All it acknowledged must stand, once, and nothing half.
set -euo pipefail
. "$(dirname "$0")/../lib.sh"
.ci/setup.sh test
unset DATABASE_URL PORT SITE_URL
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}
kills=${KILLS:-100} seed=${SEED:-$RANDOM}

step "Kills on SQLite (some minutes)"
$BIN/python -m tests.faults.kills.run --kills "$kills" --seed "$seed"
step "Kills on PostgreSQL (some minutes)"
.ci/with-postgres.sh $BIN/python -m tests.faults.kills.run --kills "$kills" --seed "$seed"
