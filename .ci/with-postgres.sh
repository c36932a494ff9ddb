#!/usr/bin/env bash
# Runs a command with DATABASE_URL naming a PostgreSQL: the server at the local default, else a throwaway one.
#   .ci/with-postgres.sh COMMAND...      where there is neither, says so and exits 0 without running it
set -euo pipefail
. "$(dirname "$0")/lib.sh"

# answers URL: true if we may make databases there and it is no older than 15.
answers() {
    $BIN/python - "$1" <<'END' 2>/dev/null
import sys, psycopg
with psycopg.connect(sys.argv[1], connect_timeout=3) as connection:
    may = connection.execute("select rolcreatedb or rolsuper from pg_roles where rolname = current_user").fetchone()[0]
    sys.exit(not (may and connection.info.server_version >= 150000))
END
}

# Each checkout has test databases of its own, so two of them can be tested at once.
database=shopsafe_$(pwd | cksum | cut -d ' ' -f 1)
for server in "postgres://$(id -un)@127.0.0.1:5432" "postgres://$(id -un)@%2Fvar%2Frun%2Fpostgresql"; do
    if answers "$server/postgres"; then DATABASE_URL=$server/$database exec "$@"; fi
done

programs=$(ls -d /usr/lib/postgresql/*/bin 2>/dev/null | sort -V | tail -1)
if [ ! -x "$programs/initdb" ]; then
    say "SKIPPED: the tests on PostgreSQL (no server at 127.0.0.1:5432, none installed; sudo apt-get install postgresql)."
    exit 0
fi

# PostgreSQL refuses to run as root, so there it is run as the user its package made.
as() { if [ "$(id -u)" = 0 ]; then runuser -u postgres -- "$@"; else "$@"; fi; }
home=$(mktemp -d /tmp/shopsafe-postgres.XXXXXX)
if [ "$(id -u)" = 0 ]; then chown postgres "$home"; fi
trap 'as "$programs/pg_ctl" -D "$home/data" -m immediate -s stop 2>/dev/null || true; rm -rf "$home"' EXIT
port=$($BIN/python -c 'import socket; s = socket.create_server(("127.0.0.1", 0)); print(s.getsockname()[1])')
(cd "$home" && as "$programs/initdb" -D data -U tests --auth=trust -E UTF8 >/dev/null)
(cd "$home" && as "$programs/pg_ctl" -D data -s -w -l "$home/log" \
    -o "-p $port -c listen_addresses=127.0.0.1 -k $home -c fsync=off" start) || { cat "$home/log" >&2; exit 1; }
say "PostgreSQL: a throwaway server on port $port."
DATABASE_URL="postgres://tests@127.0.0.1:$port/$database" "$@"
