#!/usr/bin/env bash
# `make bench`: each figure beside its floor in the same run, as a ratio. Nothing is passed or failed by seconds.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test
unset DATABASE_URL PORT SITE_URL
mkdir -p var/bench

for name in clearance figures forms logbook paper planning; do
    step "$name"
    $BIN/python -m tests.bench.$name >"var/bench/$name.json"
    cat "var/bench/$name.json"
    echo
done
