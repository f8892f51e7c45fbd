"""Which letters can be printed, and what stands in for those that can't, so that no text is lost unseen.

The paper's letters are DejaVu Sans as matplotlib brings it: Latin, Greek, Cyrillic, Armenian, Georgian,
Hebrew, Arabic and more. Chinese, Japanese and Korean need a font besides: the package
``paperang-p2-fonts-cjk`` (WenQuanYi Micro Hei, Apache License 2.0) where it is installed, or fonts in a
folder of one's own.
"""

from __future__ import annotations

import importlib.util
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from onceapart.errors import OnceapartError

if TYPE_CHECKING:
    import typst

MAIN = "DejaVu Sans"
_MAIN_FILES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
_MAIN_PACKAGE = ("matplotlib", "mpl-data/fonts/ttf")
_FURTHER_PACKAGES = (("paperang_p2_fonts_cjk", "fonts"),)
_SUFFIXES = (".ttf", ".otf", ".ttc", ".otc")
_TURNED = {"R": "R", "AL": "R", "WS": ".", "EN": ".", "AN": ".", "NSM": ".", "BN": "."}
MOST_NAMED = 12
"""So many letters that can't be printed are named one by one."""


class FontsError(OnceapartError):
    """A folder of fonts that cannot be used."""


@dataclass
class Letters:
    """Turns text into what the fonts can show, and keeps what they can't."""

    folders: tuple[Path, ...] = ()
    """Folders of one's own with fonts, besides those that come along."""
    missing: dict[str, None] = field(default_factory=dict)
    """Letters met that no font has, in the order in which they were met."""

    def printed(self, data: Any) -> Any:
        """The same data with each text in it as it can be printed; keys stay as they are."""
        if isinstance(data, str):
            return self.text(data)
        if isinstance(data, Mapping):
            return {key: self.printed(value) for key, value in data.items()}
        if isinstance(data, Iterable):
            return [self.printed(value) for value in data]
        return data

    def text(self, text: str) -> str:
        """A text with ``[U+4E2D]`` for a letter that no font has.

        >>> letters = Letters()
        >>> letters.text("Größe Привет"), letters.text("a\\U000130001b")
        ('Größe Привет', 'a[U+13000]1b')
        """
        if text.isascii() and (text.isprintable() or text.replace("\n", "").isprintable()):
            return text
        shown = []
        before = ""
        for letter in text:
            category = unicodedata.category(letter)
            if letter in "\n ":
                shown.append(letter)
            elif 0xFE00 <= ord(letter) <= 0xFE0F:
                continue  # chooses between looks of the letter before it; not a letter itself
            elif category in ("Cc", "Cf", "Cs", "Zl", "Zp") and not _joins(letter, before):
                # Unseen, and able to turn or hide its neighbours: shown as what it is.
                shown.append(_code(letter))
            elif self._has(letter):
                shown.append(letter)
            else:
                self.missing.setdefault(letter)
                shown.append(_code(letter))
            before = letter
        return _kept_apart("".join(shown))

    def note(self) -> str:
        """What is to be said on the paper of letters that it can't show; empty if there are none."""
        if not self.missing:
            return ""
        named = [f"{_code(letter)} {_kind(letter)}" for letter in list(self.missing)[:MOST_NAMED]]
        more = len(self.missing) - MOST_NAMED
        rest = f" and {more} more" if more > 0 else ""
        return (
            "Some letters are in no font at hand and stand here as their Unicode numbers: "
            f"{', '.join(named)}{rest}. Print with a folder of fonts that have them, and they are shown."
        )

    def families(self) -> list[str]:
        """Families of fonts to print with, the first that has a letter goes."""
        own = [
            info.family for info in font_book(self.folders).fonts() if info.path and _is_further(info.path)
        ]
        return [MAIN, *dict.fromkeys(name for name in own if name != MAIN)]

    def _has(self, letter: str) -> bool:
        return ord(letter) in _main_letters() or ord(letter) in _further_letters(self.folders)


@lru_cache(maxsize=4)
def font_book(folders: tuple[Path, ...]) -> typst.Fonts:
    """The fonts to print with: those that come along, and those in some folders. No font of the system's."""
    import typst

    paths = [str(_main_folder()), *(str(folder) for folder in (*_further_folders(), *folders))]
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=paths)


def usable_folder(name: str) -> Path:
    """A folder of fonts that somebody named; raises FontsError if there are none in it."""
    folder = Path(name)
    if not folder.is_dir():
        raise FontsError(f"{name}: there is no such folder; name one with .ttf or .otf files in it")
    if not _files([folder]):
        raise FontsError(f"{name}: there is no font in this folder; put .ttf or .otf files in it")
    return folder.resolve()


def _kept_apart(text: str) -> str:
    """Text with what is written from right to left kept apart from what stands around it.

    Such words with blanks and figures between them are isolated together (Unicode Standard Annex 9, FSI and
    PDI), so that a date behind an Arabic name stays behind it.
    """
    kinds = [_TURNED.get(unicodedata.bidirectional(letter), " ") for letter in text]
    found, at = [], 0
    for run in re.finditer("R[R.]*R|R", "".join(kinds)):
        found += [text[at : run.start()], "\u2068", text[run.start() : run.end()], "\u2069"]
        at = run.end()
    return "".join([*found, text[at:]])


def _code(letter: str) -> str:
    return f"[U+{ord(letter):04X}]"


def _kind(letter: str) -> str:
    """The first words of its name, such as ``CJK UNIFIED IDEOGRAPH``; the script, mostly."""
    name = unicodedata.name(letter, "unnamed")
    return name.rpartition("-")[0] if name.startswith("CJK") else name.lower()


def _joins(letter: str, before: str) -> bool:
    """Whether it is one of the two unseen letters that shape the script of the letter before them."""
    return letter in "\u200c\u200d" and unicodedata.bidirectional(before or " ") == "AL"


@lru_cache(maxsize=1)
def _main_folder() -> Path:
    package, inside = _MAIN_PACKAGE
    return _package_folder(package) / inside


def _package_folder(name: str) -> Path:
    """Where an installed package is; it is not imported."""
    spec = importlib.util.find_spec(name)
    if spec is None or not spec.submodule_search_locations:
        raise FontsError(f"the package {name} is not installed; it brings the letters for paper")
    return Path(next(iter(spec.submodule_search_locations)))


@lru_cache(maxsize=1)
def _further_folders() -> tuple[Path, ...]:
    found = []
    for package, inside in _FURTHER_PACKAGES:
        if importlib.util.find_spec(package) is not None:
            found.append(_package_folder(package) / inside)
    return tuple(found)


def _is_further(path: str) -> bool:
    return not Path(path).is_relative_to(_main_folder())


@lru_cache(maxsize=1)
def _main_letters() -> frozenset[int]:
    """Letters that the main font has both plain and bold."""
    plain, bold = (_letters_of(_main_folder() / name) for name in _MAIN_FILES)
    return plain & bold


@lru_cache(maxsize=4)
def _further_letters(folders: tuple[Path, ...]) -> frozenset[int]:
    found: frozenset[int] = frozenset()
    for path in _files((*_further_folders(), *folders)):
        found |= _letters_of(path)
    return found


def _files(folders: Sequence[Path]) -> list[Path]:
    return sorted(
        path for folder in folders for path in folder.rglob("*") if path.suffix.lower() in _SUFFIXES
    )


def _letters_of(path: Path) -> frozenset[int]:
    """Letters that a file has; none if it is no font, as then nothing is printed with it either."""
    from fontTools.ttLib import TTCollection, TTFont, TTLibError  # type: ignore[import-untyped]

    try:
        if path.suffix.lower() in (".ttc", ".otc"):
            with TTCollection(path, lazy=True) as several:
                return frozenset(code for font in several.fonts for code in font.getBestCmap() or {})
        with TTFont(path, lazy=True) as font:
            return frozenset(font.getBestCmap() or {})
    except (TTLibError, OSError, KeyError, ValueError):
        return frozenset()
