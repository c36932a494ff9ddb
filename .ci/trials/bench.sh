#!/usr/bin/env bash
# `make bench`: each figure beside its floor in the same run, as a ratio. Nothing is passed or failed by seconds.
set -euo pipefail
. "$(dirname "$0")/../lib.sh"
.ci/setup.sh test
unset DATABASE_URL PORT SITE_URL
mkdir -p var/bench

for name in saving bare.pressing clearance backup figures floor forms logbook paper planning watching; do
    step "$name"
    $BIN/python -W ignore -m tests.bench.$name >"var/bench/$name.json"
    cat "var/bench/$name.json"
    echo
done

# Pages in a small district and in a larger one; SIZES=1,10,100 measures the whole, in some ten minutes more.
step "district"
$BIN/python -W ignore -m tests.bench.district --sizes "${SIZES:-1,10}" --json var/bench/district.json | tee var/bench/district.md

step "The table of README.md"
$BIN/python -m tests.bench.measuring.table
