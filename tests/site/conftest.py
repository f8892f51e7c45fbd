"""The site under test: a data folder of its own, and a database in a real file, as it is used.

Django is set up only where these tests are among those asked for. ``DATABASE_URL`` is kept if it is given,
so that the same tests run on PostgreSQL (see ``test_store_postgresql.py``).
"""

from __future__ import annotations

import atexit
import datetime as dt
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pytest_django.fixtures import SettingsWrapper

    from onceapart.site.store.models import Version

for room in ("workshop", "cli"):  # their made-up workshops
    sys.path.insert(0, str(Path(__file__).resolve().parents[1] / room))
DATA = Path(tempfile.mkdtemp(prefix="onceapart-site-"))
atexit.register(shutil.rmtree, DATA, ignore_errors=True)
os.environ["ONCEAPART_DATA"] = str(DATA)
for name in ("ONCEAPART_HOSTS", "ONCEAPART_OPEN"):
    os.environ.pop(name, None)
os.environ["TZ"] = "UTC"
os.environ["DJANGO_SETTINGS_MODULE"] = "onceapart.site.settings"

NOON = dt.datetime(2026, 3, 5, 12, tzinfo=dt.UTC)
"""When the things of these tests happen: on the demo's day."""


def pytest_configure(config: pytest.Config) -> None:
    import django

    django.setup()
    from django.conf import settings

    if DATA.resolve() != settings.DATA:  # another's data would be tested on, and emptied
        raise pytest.UsageError("DJANGO_SETTINGS_MODULE is set: these tests set it themselves; unset it")


@pytest.fixture(scope="session")
def django_db_modify_db_settings() -> None:
    """SQLite in a file rather than in memory: other threads and processes see the same, WAL holds."""
    from django.db import connections

    settings = connections["default"].settings_dict
    if settings["ENGINE"].endswith("sqlite3"):
        settings["TEST"]["NAME"] = settings["NAME"]  # in a folder of this run alone


@pytest.fixture(autouse=True)
def clean_site(settings: SettingsWrapper) -> Iterator[None]:
    """What the site keeps in memory and in files is not carried from test to test; no process is left.

    Plans that are asked for wait until a test makes them; see ``plans_made`` and ``in_the_background``.
    """
    settings.PLANS_IN_BACKGROUND = False
    yield
    from onceapart.site.store import record

    record.forget()
    for name in ("passphrase", "photos"):
        path = DATA / name
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)


@pytest.fixture
def noon() -> dt.datetime:
    return NOON


@pytest.fixture
def plans_made() -> Callable[[], int]:
    """Make the plans that are waiting, here and now; gives their number."""
    from onceapart.site.server.worker import Stopper, work_through

    return lambda: work_through(Stopper())


@pytest.fixture
def in_the_background(settings: SettingsWrapper, transactional_db: None) -> Iterator[None]:
    """Plans are made by another process, as in the site that runs; it is ended with the test."""
    from onceapart.site.store.runs import end_worker

    settings.PLANS_IN_BACKGROUND = True
    yield
    end_worker(30)


@pytest.fixture
def demo_workshop(db: None) -> Version:
    """The demo as version 1."""
    from onceapart.demo import demo_text
    from onceapart.site.store.versions import take_in

    return take_in(demo_text(), at=NOON)
