"""The trade library: recipes by id, and the data they share, each file read only when it is asked for."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TypeVar

from onceapart.errors import Problem, TradeDataError
from onceapart.trade.datafile import DataFile
from onceapart.trade.schema import (
    AccessFile,
    AccessWork,
    AftercareFile,
    AftercareWork,
    Caution,
    CautionFile,
    Defined,
    Recipe,
    ReleaseCheck,
    ReleaseFile,
    SpecialTool,
    ToolFile,
)
from onceapart.workshop.values import nearest

Entry = TypeVar("Entry", AccessWork, AftercareWork, Caution, SpecialTool, ReleaseCheck)


class Library:
    """Access, aftercare, cautions, special tools and release checks by name: shared ones and recipes' own.

    Parameters
    ----------
    own : iterable of Defined
        What recipes define themselves. A name that is shared, too, means the shared entry.
    """

    def __init__(self, own: Iterable[Defined] = ()) -> None:
        self._own = tuple(own)

    @property
    def access(self) -> Mapping[str, AccessWork]:
        """What comes off, with its minutes."""
        return self._with_own(_shared_access(), (entry for own in self._own for entry in own.access))

    @property
    def aftercare(self) -> Mapping[str, AftercareWork]:
        """What follows a job."""
        return self._with_own(_shared_aftercare(), (entry for own in self._own for entry in own.aftercare))

    @property
    def cautions(self) -> Mapping[str, Caution]:
        """Cautions, each written once."""
        return self._with_own(_shared_cautions(), (entry for own in self._own for entry in own.cautions))

    @property
    def tools(self) -> Mapping[str, SpecialTool]:
        """Tools that are not in every garage."""
        return self._with_own(_shared_tools(), (entry for own in self._own for entry in own.tools))

    @property
    def release(self) -> Mapping[str, ReleaseCheck]:
        """Checks done before the car moves."""
        return self._with_own(_shared_release(), (entry for own in self._own for entry in own.release))

    @staticmethod
    def _with_own(shared: dict[str, Entry], own: Iterable[Entry]) -> Mapping[str, Entry]:
        more = {entry.id: entry for entry in own}
        return {**more, **shared} if more else shared


def recipe_ids() -> tuple[str, ...]:
    """Ids of the recipes that come with the program, in the order of the alphabet.

    >>> "cv-boot" in recipe_ids()
    True
    """
    return tuple(sorted(_recipe_files()))


@cache
def load_recipe(recipe_id: str) -> Recipe:
    """One of the recipes that come with the program.

    Parameters
    ----------
    recipe_id : str
        One of ``recipe_ids()``.

    Returns
    -------
    Recipe
        Frozen; the same object each time. Minutes in whole minutes.

    Raises
    ------
    TradeDataError
        If there is no such recipe, or its file breaks the schema.

    Examples
    --------
    >>> load_recipe("cv-boot").title
    'CV boot'
    """
    found = _recipe_files().get(recipe_id)
    if found is None:
        raise TradeDataError(
            "trade library", [Problem(None, "recipe", recipe_id, *unknown_recipe(recipe_id))]
        )
    # What it names is there, as the tests check; looking it up would read every shared file.
    return DataFile(found, f"recipes/{found.name}").checked(Recipe)


def load_recipe_file(path: str | os.PathLike[str]) -> Recipe:
    """A recipe of one's own, in the form of docs/recipes.md.

    Parameters
    ----------
    path : str or path-like
        A YAML file of at most 200 kB.

    Returns
    -------
    Recipe
        To be handed to ``apply_recipes``.

    Raises
    ------
    TradeDataError
        With all problems of the file at once: what is no YAML or breaks the schema, names that are
        not in the library, cautions that work on such a system must carry.
    """
    from onceapart.trade.checking import check_recipe

    source = os.fspath(path)
    data = DataFile(Path(source), source)
    recipe = data.checked(Recipe)
    problems = [data.problem(*found) for found in check_recipe(recipe)]
    if problems:
        raise data.error(problems)
    return recipe


def unknown_recipe(recipe_id: str, own: Iterable[str] = ()) -> tuple[str, str]:
    """Rule and way out for a recipe that is not there, with the one that may have been meant."""
    known = sorted({*recipe_ids(), *own})
    near = nearest(recipe_id, known) or next((one for one in known if recipe_id and recipe_id in one), "")
    way_out = f"did you mean {near}?" if near else f"use one of {', '.join(known)}"
    return "there is no recipe with this id", way_out


@cache
def _recipe_files() -> dict[str, Traversable]:
    folder = files("onceapart.trade") / "recipes"
    return {file.name.removesuffix(".yaml"): file for file in folder.iterdir() if file.name.endswith(".yaml")}


def _shared_file(name: str) -> DataFile:
    return DataFile(files("onceapart.trade") / "shared" / name, f"shared/{name}")


@cache
def _shared_access() -> dict[str, AccessWork]:
    found = _shared_file("access.yaml").checked(AccessFile)
    return {entry.id: _based(entry, found.basis) for entry in found.access}


@cache
def _shared_aftercare() -> dict[str, AftercareWork]:
    found = _shared_file("aftercare.yaml").checked(AftercareFile)
    return {entry.id: _based(entry, found.basis) for entry in found.aftercare}


@cache
def _shared_cautions() -> dict[str, Caution]:
    return {entry.id: entry for entry in _shared_file("cautions.yaml").checked(CautionFile).cautions}


@cache
def _shared_tools() -> dict[str, SpecialTool]:
    return {entry.id: entry for entry in _shared_file("tools.yaml").checked(ToolFile).tools}


@cache
def _shared_release() -> dict[str, ReleaseCheck]:
    return {entry.id: entry for entry in _shared_file("release.yaml").checked(ReleaseFile).release}


Timed = TypeVar("Timed", AccessWork, AftercareWork)


def _based(entry: Timed, basis: str) -> Timed:
    """An entry with the basis of its file, if it has none of its own."""
    return entry if entry.basis else entry.model_copy(update={"basis": basis})
