"""Telling by its name which part is meant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from onceapart.workshop.model import Workshop
from onceapart.workshop.pasted import plain_words

_SMALL = frozenset(
    {"the", "a", "an", "of", "for", "and", "with", "in", "on", "at", "set", "new", "one", "pair"}
)
"""Words that tell no part from another."""


def known_parts(workshop: Workshop) -> dict[str, str]:
    """Parts that a workshop names: of its jobs, its offers and its shelf. Values are empty."""
    names = [part for job in workshop.jobs for part in job.parts]
    names += [part for offer in workshop.offers for part in offer.parts]
    return dict.fromkeys([*names, *workshop.shelf], "")


class PartNames:
    """Parts by what they are called."""

    def __init__(self, known: Iterable[str], words: Mapping[str, str] | None = None) -> None:
        self.known = dict.fromkeys(known)
        self._words = {
            part: (words_of(part.rpartition("/")[2]), words_of(f"{part} {(words or {}).get(part, '')}"))
            for part in self.known
        }

    def find(self, name: str) -> tuple[str, ...]:
        """The part that is meant, several where it is not clear, none where there is none so called.

        >>> PartNames(["wren/front/brake-disc", "wren/rear/brake-disc"]).find("Brake discs, front")
        ('wren/front/brake-disc',)
        """
        if name in self.known:
            return (name,)
        said = words_of(name)
        if not said:
            return ()
        found = [part for part, (own, whole) in self._words.items() if said <= whole and own <= said]
        return tuple(found or [part for part, (_, whole) in self._words.items() if said <= whole])


def words_of(text: str) -> frozenset[str]:
    """Words that tell one part from another, without the s of the plural."""
    words = {
        word[:-1] if len(word) > 3 and word.endswith("s") else word for word in plain_words(text).split()
    }
    return frozenset(words - _SMALL)
