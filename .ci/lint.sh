#!/usr/bin/env bash
# `make lint`: every check that reads the code without running it. A check that passes takes one line.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh test

# Checked as it would be deployed: with HTTPS, and away from the data in var/.
export SHOPSAFE_VAR=${SHOPSAFE_VAR:-var/test} SITE_URL=https://shopsafe.example
export SHOPSAFE_SECRET_KEY="only for the checks: long, and of many letters 0123456789"
unset DATABASE_URL LANGUAGE
failed=""

check() {
    local name=$1 output; shift
    if output=$("$@" 2>&1); then printf 'ok    %s\n' "$name"
    else printf 'FAIL  %s\n%s\n' "$name" "$output"; failed="$failed $name,"; fi
}

templates() { find templates -name '*.html' -print0 2>/dev/null | xargs -0 -r $BIN/djade --check --target-version 6.1; }

# mypy takes as long as all the others together: it runs beside them.
types=$(mktemp); trap 'rm -f "$types"' EXIT
$BIN/mypy >"$types" 2>&1 & mypy=$!

check "ruff" $BIN/ruff check --no-cache .
check "ruff format" $BIN/ruff format --no-cache --check .
check "import contracts" $BIN/lint-imports --no-cache
check "templates (djade)" templates
check "house rules" $BIN/python tests/house/house_rules.py
check "voice" $BIN/python tests/house/voice.py
check "deployment (check --deploy)" $BIN/python manage.py check --deploy --fail-level WARNING
check "migrations" $BIN/python manage.py makemigrations --check --dry-run
$BIN/python tests/house/sizes.py || failed="$failed sizes,"
if wait $mypy; then echo "ok    types (mypy)"; else echo "FAIL  types (mypy)"; cat "$types"; failed="$failed types,"; fi

[ -z "$failed" ] || stop "these checks failed:${failed%,}"
