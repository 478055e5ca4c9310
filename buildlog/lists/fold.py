"""Words compared as people compare them: case, accents, spaces and punctuation do not matter."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

__all__ = ["fold", "fold_name"]

_NOT_WORD = re.compile(r"[^a-z0-9#%]+")


@lru_cache(maxsize=4096)
def fold(text: str) -> str:
    """A heading or a chosen word, bare.

    >>> fold("Must be done in one go?"), fold("Durée (h)"), fold("air, °C"), fold("No.")
    ('must be done in one go', 'duree h', 'air c', 'no')
    """
    plain = unicodedata.normalize("NFKD", text.replace("°", " ")).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return _NOT_WORD.sub(" ", plain.replace("'", "")).strip()


@lru_cache(maxsize=65536)
def fold_name(text: str) -> str:
    """A name of a thing: only case and the spaces do not matter.

    Accents and punctuation stay, for “Frame 1” and “Frame 1½” are two things.

    >>> fold_name(" Marine  Ply 9 mm ")
    'marine ply 9 mm'
    """
    return " ".join(text.split()).casefold()
