#!/usr/bin/env bash
# `make run`: everything up to a running shop on http://$HOST:$PORT/. A second start keeps all data.
set -euo pipefail
. "$(dirname "$0")/lib.sh"
.ci/setup.sh run

# What this shop is always started with. What is said before the command goes before it.
own=$($BIN/python shopsafe/shop_env.py) || exit 1
eval "$own"
export PORT=${PORT:-8000}
case $PORT in '' | *[!0-9]* | ??????*) stop "PORT must be a number up to 65535, not \"$PORT\"." ;; esac
[ "$PORT" -le 65535 ] || stop "PORT must be a number up to 65535, not $PORT."

# This computer alone, unless someone says which of its addresses others may reach it at. Some shells set HOST to the
# computer's name by themselves: that must not open it to a whole network.
HOST=${HOST:-127.0.0.1}
[[ $HOST =~ ^[0-9]{1,3}(\.[0-9]{1,3}){3}$ ]] || stop "HOST must be an address of this computer such as 192.168.1.20, not \"$HOST\" (HOST=127.0.0.1: this computer alone)."
if [ "$HOST" = 0.0.0.0 ] && [ -z "${SITE_URL:-}" ]; then
    stop "HOST=0.0.0.0 answers at every address. Say which one slips and codes name: SITE_URL=http://192.168.1.20:$PORT"
fi
# What prints name, and what the settings take for the host and origin of every page.
export SITE_URL=${SITE_URL:-http://$HOST:$PORT}
here=${HOST/#0.0.0.0/127.0.0.1}

manage() { $BIN/python manage.py "$@"; }

# Collecting compresses every file, which takes longer than all the rest: only when one has changed.
collect_static() {
    local var=${SHOPSAFE_VAR:-var} now
    now=$( (cat requirements.txt shopsafe/settings.py; find static -type f -printf '%p %s %T@\n' | sort) | sha256sum)
    if [ "$(cat "$var/static.collected" 2>/dev/null)" = "$now" ]; then return; fi
    manage collectstatic --no-input --clear --verbosity 0
    printf '%s\n' "$now" >"$var/static.collected"
}

# port free: no one listens there; port taken: someone does.
port() {
    $BIN/python - "$1" "$here" "$PORT" <<'END'
import socket, sys
with socket.socket() as probe:
    taken = probe.connect_ex((sys.argv[2], int(sys.argv[3]))) == 0
sys.exit(taken != (sys.argv[1] == "taken"))
END
}

# Where everything is kept, without a password.
kept_in() {
    case ${DATABASE_URL:-} in
        '') printf '%s' "${SHOPSAFE_VAR:-$PWD/var}/shopsafe.sqlite3" ;;
        sqlite:*) printf '%s' "${DATABASE_URL#sqlite:///}" ;;
        *) printf '%s' "${DATABASE_URL##*@}" ;;
    esac
}

# SQLite keeps the newest lines in a file beside the database (-wal). They go into it, so that it is whole by itself.
settle() {
    [ -f "$(kept_in)" ] || return 0
    $BIN/python - "$(kept_in)" <<'END' || true
import sqlite3, sys
sqlite3.connect(sys.argv[1], timeout=10).execute("PRAGMA wal_checkpoint(TRUNCATE)")
END
}

port free || stop "port $PORT is in use. Stop what runs there, or choose another: make run PORT=$((PORT + 1))"
# Other languages than English: what translators have done since the last start.
[ -z "$(find locale -name '*.po' 2>/dev/null)" ] || manage messages compile >/dev/null
manage migrate --no-input --verbosity 0
collect_static
manage clear_sessions >/dev/null
manage shelf
[ "${DEMO:-yes}" = no ] || manage demo --if-empty

# Ctrl-C reaches everything in the terminal's process group, and a worker that is told twice to stop may hang: the
# server gets a group of its own (set -m) and is told once, by us.
set -m
$BIN/python -m shopsafe.serving.start --host "$HOST" --port "$PORT" &
server=$!
# The jobs of the night: checkpoint, backup, retention.
$BIN/python manage.py jobs &
jobs=$!
set +m
stopping=""
# We ourselves may be told twice: by whoever stops us, and by make, which passes a TERM on.
trap '[ "$stopping" ] || { stopping=1; kill -TERM $server $jobs 2>/dev/null || true; }' INT TERM HUP
trap '[ "$stopping" ] || kill -TERM $server $jobs 2>/dev/null || true' EXIT

until [ "$stopping" ] || port taken 2>/dev/null; do
    kill -0 $server 2>/dev/null || stop "the server did not start. The lines above say why."
    sleep 0.1 || true
done
if [ ! "$stopping" ]; then
    printf '\nshopsafe is at %s/   (Ctrl-C stops it; everything is kept)\n' "$SITE_URL"
    case $HOST in 127.*) ;; *) case $SITE_URL in http://*)
        printf 'Other devices reach it there. Over plain http others on this network can read along: see README, "Other devices".\n' ;; esac ;; esac
    printf 'Its database is %s\n\n' "$(kept_in)"
    manage demo --sign-ins || true
    manage setup_code || true
fi
# A wait ends early each time we are told something.
while kill -0 $server 2>/dev/null; do wait $server 2>/dev/null || true; done
kill -TERM $jobs 2>/dev/null || true
while kill -0 $jobs 2>/dev/null; do wait $jobs 2>/dev/null || true; done
settle
[ "$stopping" ] || stop "the server stopped by itself."
say "shopsafe has stopped. Everything is kept."
