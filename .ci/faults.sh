#!/usr/bin/env bash
# `make faults`: a working server is killed over and over. All it acknowledged must be stored, and nothing half.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test
unset DATABASE_URL PORT SITE_URL
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}

step "Kills (some minutes)"
$BIN/python -m tests.faults.kills --kills "${KILLS:-100}" --seed "${SEED:-$RANDOM}"
