"""Kinds of value in a workshop, and how each is checked, wherever it comes from.

From a file a value comes as text: ``Plain`` if it stood there without quotes, ``str`` if quoted. What
kind it is follows from the key it stands at, and never from its looks. Elsewhere a value comes as
the int, date or bool that the model holds, and only as that.
"""

from __future__ import annotations

import datetime as dt
import difflib
import re
import unicodedata
from collections.abc import Callable, Sequence
from typing import Annotated, Any, TypeAlias

from pydantic import AfterValidator, BeforeValidator, Field, Strict
from pydantic_core import PydanticCustomError

from onceapart.workshop.money import MAX_MONEY, parse_money
from onceapart.workshop.places import PLACES

MAX_MINUTES = 1_000_000
MAX_PIECES = 100_000
MAX_DAYS = 3_650
MAX_ID = 100
MAX_TEXT = 200
MAX_MEASURED = 60
"""Letters of a measured value; as many as are read as a quantity."""
MAX_FILE_NAME = 255
"""Bytes that usual file systems take for the name of a file."""


class Plain(str):
    """Text that stood in the file without quotes, so that it may be a number, a date or true and false."""

    __slots__ = ()


_ID = re.compile(r"[a-z0-9]+(?:[-/][a-z0-9]+)*", re.ASCII)
_WHOLE = re.compile(r"\+?[0-9]+", re.ASCII)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
# Shape only: how a number and its unit may be spelled is known where the value is used.
_NUMBER_FIRST = re.compile(r"[+\-−]? ?(?:[.,]?[0-9]|[½⅓⅔¼¾⅛⅜⅝⅞])", re.ASCII)
_UNIT = re.compile(r"[^\W\d_]|[%°'\"′″’”]")
_ODOMETER = re.compile(r"[0-9]{1,7} (?:km|mi)", re.ASCII)
_LOOSE_ODOMETER = re.compile(
    r"([0-9]{1,3}(?:[ .,'][0-9]{3}){1,2}|[0-9]{1,7})\s*(?:(km|mi)\w*)?", re.ASCII | re.I
)
_NULLS = frozenset({"", "~", "null", "Null", "NULL"})
# Marks that turn the direction of writing would make a name look like another one.
_TURNING = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def broken(rule: str, way_out: str) -> PydanticCustomError:
    """The error of a value that breaks a rule, carrying both halves of what is said about it."""
    return PydanticCustomError("broken_rule", "{rule}; {way_out}", {"rule": rule, "way_out": way_out})


def is_null(value: object) -> bool:
    """Whether a value from a file says that there is none."""
    return isinstance(value, Plain) and value in _NULLS


def nearest(word: str, words: Sequence[str]) -> str:
    """The one of some words that a slip of the keyboard may have come from, or nothing.

    >>> nearest("minuts", ["minutes", "price"]), nearest("colour", ["minutes", "price"])
    ('minutes', '')
    """
    found = difflib.get_close_matches(word[:60], words, n=1, cutoff=0.75)
    return found[0] if found else ""


def suggest_id(text: str) -> str:
    """An id that comes close to some text, or nothing.

    >>> suggest_id("Wren / Front left"), suggest_id("?")
    ('wren/front-left', '')
    """
    words = re.sub(r"[^a-z0-9/]+", "-", text[:MAX_ID].lower())
    words = re.sub(r"-*/[-/]*", "/", words).strip("-/")
    return words if _ID.fullmatch(words) else ""


def _refuse_null(value: Any) -> Any:
    if is_null(value):
        raise broken("there is no value", 'write one, in quotes if it is the word "null"')
    return value


def _refuse_blank(value: str) -> None:
    if value.startswith("__"):
        raise broken("a blank of a form is not filled in", "fill it in, or take the whole line out")


def _check_id(value: str) -> str:
    _refuse_blank(value)
    if not _ID.fullmatch(value):
        way_out = f"write it as in {suggest_id(value) or 'wren/front-left/wheel'}"
        raise broken("ids are lower-case words (a-z, 0-9) joined by - and /", way_out)
    if len(value) > MAX_ID:
        raise broken(f"ids have at most {MAX_ID} letters", "shorten it")
    return str(value)


def _check_text(value: str) -> str:
    text = str(value).strip()
    if not text:
        raise broken("it may not be blank", "write a name")
    if len(text) > MAX_TEXT:
        raise broken(f"text has at most {MAX_TEXT} letters", "shorten it")
    if any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or c in _TURNING for c in text):
        raise broken("text is one line without control characters", "take them out")
    return text


def _check_measured(example: str) -> Callable[[str], str]:
    def check(value: str) -> str:
        _refuse_blank(value)
        text = _check_text(value)
        if len(text) > MAX_MEASURED:
            raise broken(f"a measured value has at most {MAX_MEASURED} letters", "put the rest into a note")
        if not _NUMBER_FIRST.match(text) or not _UNIT.search(text):
            raise broken("a measured value is a number with its unit", f"write it as in {example}")
        return text

    return check


def _check_odometer(value: str) -> str:
    if not _ODOMETER.fullmatch(value):
        near = _LOOSE_ODOMETER.fullmatch(value[:40].strip())
        digits = re.sub("[^0-9]", "", near[1]) if near else ""
        like = (
            f"{digits} {near[2].lower()}"
            if near and near[2]
            else f"{digits or 143200} km or {digits or 89400} mi"
        )
        rule = "an odometer reading is a whole number of at most 7 digits, then km or mi"
        raise broken(rule, f"write it as in {like}")
    return str(value)


def _check_mark(value: str) -> str:
    name = _check_id(value)
    place, slash, item = name.partition("/")
    if slash and place not in PLACES:
        near = nearest(place, PLACES)
        way_out = f"did you mean {near}/{item}?" if near else "write it as in front/disc-thickness"
        raise broken("a mark is named by an item, or by a place, / and an item", way_out)
    return name


def _check_file_name(value: str) -> str:
    name = _check_text(value)
    if set(name) & set("/\\:") or name.startswith("."):
        last = re.split(r"[/\\:]", name)[-1].lstrip(".")
        raise broken(
            "a photo is the bare name of a file, without a folder", f"write it as in {last or 'disc.jpg'}"
        )
    if len(name.encode()) > MAX_FILE_NAME:
        raise broken(f"names of files have at most {MAX_FILE_NAME} bytes", "shorten it")
    return name


def _check_pair(value: Any) -> Any:
    if isinstance(value, list | tuple) and len(value) == 2:
        return value
    raise broken("it is a list of two, the good case and the bad one", "write it as in [30, 90]")


def _check_currency(value: str) -> str:
    if not re.fullmatch(r"[A-Z]{3}", value, re.ASCII):
        raise broken("a currency is three capital letters, as in ISO 4217", "write it as in EUR or GBP")
    return str(value)


def _check_place(value: str) -> str:
    if value not in PLACES:
        near = nearest(value, PLACES)
        way_out = f"did you mean {near}?" if near else "use one of these"
        raise broken(f"a place is one of {', '.join(PLACES)}", way_out)
    return str(value)


def _read_money(value: Any) -> Any:
    if not isinstance(value, Plain):
        return value
    try:
        return parse_money(value)
    except ValueError as error:
        rule, _, way_out = str(error).partition("; ")
        raise broken(rule, way_out) from None


def _read_whole(what: str, most: int) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if not isinstance(value, Plain):
            return value
        if not _WHOLE.fullmatch(value):
            if value.startswith("-"):
                raise broken(f"{what} are not negative", "give 0 or more")
            whole = re.fullmatch(r"([0-9]{1,9})\.0*", value, re.ASCII)
            way_out = f"write {whole[1]}" if whole else "write digits only"
            raise broken(f"{what} are whole numbers", way_out)
        if len(value) > 20 or int(value) > most:
            raise broken(f"{what} go up to {most}", "check the number")
        return int(value)

    return read


def _read_date(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    if _DATE.fullmatch(value):
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            raise broken("there is no such day", "check the month and the day") from None
    raise broken("a date is year-month-day and nothing more", "write it as in 2026-03-07")


def _read_bool(value: Any) -> Any:
    if not isinstance(value, Plain):
        return value
    if value in ("true", "True", "TRUE"):
        return True
    if value in ("false", "False", "FALSE"):
        return False
    raise broken("it is either true or false", "write true or false")


Id: TypeAlias = Annotated[str, BeforeValidator(_refuse_null), AfterValidator(_check_id)]
Text: TypeAlias = Annotated[str, BeforeValidator(_refuse_null), AfterValidator(_check_text)]
Measured: TypeAlias = Annotated[str, AfterValidator(_check_measured("2.4 mm"))]
Mass: TypeAlias = Annotated[str, AfterValidator(_check_measured("980 kg"))]
Odometer: TypeAlias = Annotated[str, AfterValidator(_check_odometer)]
MarkName: TypeAlias = Annotated[str, AfterValidator(_check_mark)]
FileName: TypeAlias = Annotated[str, BeforeValidator(_refuse_null), AfterValidator(_check_file_name)]
Currency: TypeAlias = Annotated[str, AfterValidator(_check_currency)]
PlaceName: TypeAlias = Annotated[str, AfterValidator(_check_place)]
Money: TypeAlias = Annotated[int, Strict(), Field(ge=0, le=MAX_MONEY), BeforeValidator(_read_money)]
Minutes: TypeAlias = Annotated[
    int, Strict(), Field(ge=0, le=MAX_MINUTES), BeforeValidator(_read_whole("minutes", MAX_MINUTES))
]
GoodAndBad: TypeAlias = Annotated[tuple[Minutes, Minutes], BeforeValidator(_check_pair)]
Pieces: TypeAlias = Annotated[
    int, Strict(), Field(ge=1, le=MAX_PIECES), BeforeValidator(_read_whole("pieces", MAX_PIECES))
]
PiecesInHand: TypeAlias = Annotated[
    int, Strict(), Field(ge=0, le=MAX_PIECES), BeforeValidator(_read_whole("pieces", MAX_PIECES))
]
Units: TypeAlias = Annotated[
    int, Strict(), Field(ge=0, le=MAX_PIECES), BeforeValidator(_read_whole("units", MAX_PIECES))
]
Days: TypeAlias = Annotated[
    int, Strict(), Field(ge=0, le=MAX_DAYS), BeforeValidator(_read_whole("days", MAX_DAYS))
]
Date: TypeAlias = Annotated[dt.date, Strict(), BeforeValidator(_read_date)]
Flag: TypeAlias = Annotated[bool, Strict(), BeforeValidator(_read_bool)]
