#!/usr/bin/env bash
# `make test`: lint, then the tests on SQLite, on PostgreSQL, and in a browser. What cannot run here is said, not hidden.
#
# Two halves run side by side. A page waits for its server, and a stalled line for its deadline; the tests that only
# reckon take the processor meanwhile. They give way to the others, where a page that is late is a test that fails.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test
.ci/test-tools.sh
# Bytecode is kept: each worker and each server of the tests would compile everything again.
unset DATABASE_URL PORT SITE_URL PYTHONDONTWRITEBYTECODE
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test}

# In a process group of its own, so that all of it ends when this ends.
report=$(mktemp); set -m; .ci/test-with-server.sh >"$report" 2>&1 & served=$!; set +m
trap 'kill -- -$served 2>/dev/null || true; rm -f "$report"' EXIT

failed=""
nice -n 10 .ci/test-without-server.sh || failed="without a server"
wait $served || failed="${failed:+$failed, and }with a server"
cat "$report"
[ -z "$failed" ] || stop "tests failed: those $failed."
