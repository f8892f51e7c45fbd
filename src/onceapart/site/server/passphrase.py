"""The passphrase of those who come from elsewhere: kept as a salted hash in the data folder."""

from __future__ import annotations

import hashlib
import os
import secrets
from pathlib import Path

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.utils.crypto import constant_time_compare

from onceapart.errors import OnceapartError
from onceapart.site.server.easy_words import EASY_WORDS

SHORTEST, LONGEST = 8, 200
"""Letters of a passphrase at least and at most."""
WORDS = 5
"""Words of a passphrase that is made here: 40 bits, which ten thousand tries a day take eternities for."""


class PassphraseError(OnceapartError):
    """A passphrase that can't be taken."""


def _file() -> Path:
    path: Path = settings.DATA / "passphrase"
    return path


def made_passphrase() -> str:
    """A passphrase of words that are easy to type, by chance."""
    return " ".join(secrets.choice(EASY_WORDS) for _ in range(WORDS))


def set_passphrase(text: str) -> None:
    """Keep a new passphrase. Whoever came in by the old one has to give the new one.

    Raises
    ------
    PassphraseError
        If it is too short or too long.
    """
    said = _plain(text)
    if not SHORTEST <= len(said) <= LONGEST:
        rule = f"a passphrase has {SHORTEST} to {LONGEST} letters"
        raise PassphraseError(f"{len(said)} letters: {rule}; three or four words do well")
    fresh = _file().with_name(f"passphrase.{secrets.token_hex(4)}")
    handle = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w") as file:
        file.write(make_password(said, hasher="pbkdf2_sha256"))
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(_file())


def has_passphrase() -> bool:
    """Whether one is set."""
    return bool(_kept())


def is_right(text: str) -> bool:
    """Whether this is the passphrase. Takes as long whatever it is."""
    kept = _kept()
    said = _plain(text)[: LONGEST + 1]
    if not kept:
        make_password(said, hasher="pbkdf2_sha256")
        return False
    return check_password(said, kept)


def ticket() -> str:
    """What a session keeps of who came in; it is worth nothing once the passphrase is another."""
    return hashlib.sha256(f"came in by {_kept()}".encode()).hexdigest()


def is_good_ticket(text: object) -> bool:
    """Whether a session's ticket is by the passphrase as it is now."""
    return isinstance(text, str) and has_passphrase() and constant_time_compare(text, ticket())


def _plain(text: str) -> str:
    """As it is compared: however the words stand apart, and as a phone's keyboard begins them."""
    return " ".join(text.split()).casefold()


def _kept() -> str:
    try:
        return _file().read_text().strip()
    except FileNotFoundError:
        return ""
