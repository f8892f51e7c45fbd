#!/bin/sh
# Get what some tests need and Python packages don't bring: a browser and a PostgreSQL server. Only where
# it may be done without asking (Debian, as root); elsewhere, and if it fails, those tests say they are skipped.
# NO_SERVICES=1 leaves it out.
set -u

has_postgresql() { command -v postgres >/dev/null || ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1; }
has_chromium() { command -v chromium >/dev/null || command -v chromium-browser >/dev/null; }

missing=""
has_chromium || missing="$missing chromium"
has_postgresql || missing="$missing postgresql"
[ -z "$missing" ] && exit 0

if [ -n "${NO_SERVICES:-}" ] || [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
    echo "*** Not here:$missing. The tests that need it will be SKIPPED."
    echo "*** On Debian: sudo apt-get install$missing"
    exit 0
fi

# Remembered, so that a machine which can't get them isn't held up every time; `make clean` forgets it.
stamp=.venv/.no-services
[ -e "$stamp" ] && [ "$(cat "$stamp")" = "$missing" ] && {
    echo "*** Not here, and could not be installed before:$missing. The tests that need it will be SKIPPED."
    exit 0
}

echo "Installing for the tests:$missing"
export DEBIAN_FRONTEND=noninteractive
mkdir -p /etc/postgresql-common
[ -e /etc/postgresql-common/createcluster.conf ] ||
    echo "create_main_cluster = false" >/etc/postgresql-common/createcluster.conf # the tests make their own
log=$(mktemp)
# shellcheck disable=SC2086
if ! { timeout 300 apt-get update -q && timeout 900 apt-get install -y -q --no-install-recommends \
    -o Dpkg::Options::=--force-confold $missing; } >"$log" 2>&1; then
    tail -n 3 "$log"
    echo "*** Could not install:$missing. The tests that need it will be SKIPPED."
    mkdir -p .venv && printf %s "$missing" >"$stamp"
fi
rm -f "$log"
exit 0
