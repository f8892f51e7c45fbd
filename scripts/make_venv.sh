#!/bin/sh
# Make a virtual environment; Debian keeps the module for it in a package of its own.
# usage: make_venv.sh PYTHON FOLDER
set -eu
python=$1
folder=$2
if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
    echo "onceapart needs Python 3.11 or newer; '$python' is older or missing. Say: make PYTHON=python3.11" >&2
    exit 1
fi
if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        apt-get update -q && apt-get install -q -y python3-venv
    else
        echo "Python's venv module is missing. Install it with: sudo apt-get install python3-venv" >&2
        exit 1
    fi
fi
"$python" -m venv "$folder"
