#!/usr/bin/env bash
# `make requirements`: pins requirements*.in with hashes. Arguments go to pip-compile (--upgrade, --upgrade-package X).
set -euo pipefail
. "$(dirname "$0")/lib.sh"
tools=var/pip-tools
if [ ! -x $tools/bin/pip-compile ]; then
    "$(find_python)" -m venv $tools
    $tools/bin/python -m pip install --quiet "pip-tools==7.6.2"
fi
# Where this machine fetches packages from is its own business: no address goes into the files.
for name in requirements requirements-dev; do
    $tools/bin/pip-compile --quiet --generate-hashes --allow-unsafe --strip-extras --no-header \
        --no-emit-index-url --no-emit-find-links --no-emit-trusted-host --output-file $name.txt "$@" $name.in
done
