"""The tests of what is kept, once more on PostgreSQL."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from postgresql import server, why_not

HERE = Path(__file__).parent
AGAIN = (
    "test_store_which.py",
    "test_store_processes.py",
    "test_record_store.py",
    "test_versions*.py",
    "test_runs*.py",
)


@pytest.mark.skipif(why_not() is not None, reason=f"NOT TESTED ON POSTGRESQL: {why_not()}")
@pytest.mark.skipif("DATABASE_URL" in os.environ, reason="a database was named: all tests run on it")
def test_postgresql_keeps_what_sqlite_keeps() -> None:
    files = sorted(path for pattern in AGAIN for path in HERE.glob(pattern))
    assert len(files) > 4
    served = "test_on_postgresql_it_is_served_all_the_same"
    own = ("DJANGO_SETTINGS_MODULE", "ONCEAPART_DATA")
    environment = {key: value for key, value in os.environ.items() if key not in own}
    with server() as url:
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "pytest",
                "-q",
                "-p",
                "no:cacheprovider",
                *map(str, files),
                f"{HERE}/test_server.py::{served}",
            ],
            env=environment | {"DATABASE_URL": url},
            cwd=HERE.parents[1],
            capture_output=True,
            text=True,
            check=False,
            timeout=900,
        )
    assert done.returncode == 0, done.stdout[-8000:] + done.stderr[-2000:]
    assert re.search(r"^\.{20,}", done.stdout, re.M), "they ran"
