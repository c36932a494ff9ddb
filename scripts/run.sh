#!/usr/bin/env bash
# `make run`: everything up to a running shop on http://127.0.0.1:$PORT/. A second start keeps all data.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
export PORT=${PORT:-8000}
case $PORT in '' | *[!0-9]*) stop "PORT must be a number, not \"$PORT\"." ;; esac

scripts/setup.sh run

$BIN/python - "$PORT" <<'END' || stop "port $PORT is in use. Stop what runs there, or choose another: make run PORT=$((PORT + 1))"
import socket, sys
with socket.socket() as probe:
    probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        probe.bind(("127.0.0.1", int(sys.argv[1])))
    except OSError:
        sys.exit(1)
END

manage() { $BIN/python manage.py "$@"; }
manage migrate --no-input --verbosity 0
manage collectstatic --no-input --verbosity 0
manage shelf
manage demo --if-empty

printf '\nshopsafe is at http://127.0.0.1:%s/   (Ctrl-C stops it; everything is kept)\n\n' "$PORT"
manage demo --sign-ins
$BIN/python -c 'import os; from shopsafe import sqlite; sqlite.stand_in(); os.environ.get("DATABASE_URL", "sqlite").startswith("sqlite") and print(sqlite.in_words())'

# Two workers with one thread each: more threads make every answer slower (SQLite's writers wait unfairly).
exec $BIN/granian --interface wsgi --host 127.0.0.1 --port "$PORT" --workers 2 --blocking-threads 1 --no-ws \
    --log-level warning shopsafe.wsgi:application
