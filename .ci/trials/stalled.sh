#!/usr/bin/env bash
# `make stalled`: fifty connections stall for a hundred seconds. Everyone else must be answered within one.
set -euo pipefail
. "$(dirname "$0")/../lib.sh"
.ci/setup.sh test
unset DATABASE_URL PORT SITE_URL
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}

step "Stalled lines (some minutes)"
$BIN/python -m tests.faults.stalled --seconds "${SECONDS_STALLED:-100}" --lines "${LINES_STALLED:-50}" --rounds "${ROUNDS:-5}"
