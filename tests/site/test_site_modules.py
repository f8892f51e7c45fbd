"""Every module of the site can be loaded, and what its docstrings show is so."""

from __future__ import annotations

import doctest
import pkgutil
from importlib import import_module

import pytest

import onceapart.site

NAMES = sorted(
    found.name for found in pkgutil.walk_packages(onceapart.site.__path__, f"{onceapart.site.__name__}.")
)


def test_there_are_some() -> None:
    assert len(NAMES) > 20


@pytest.mark.parametrize("name", NAMES)
def test_docstrings_show_what_is_so(name: str) -> None:
    failed, _ = doctest.testmod(import_module(name))
    assert not failed


@pytest.mark.parametrize("name", NAMES)
def test_what_a_module_offers_is_there(name: str) -> None:
    module = import_module(name)
    offered = getattr(module, "__all__", ())
    assert len(set(offered)) == len(offered)
    for one in offered:
        assert hasattr(module, one), one
