"""How wide words will be, near enough to cut or break them; the browser has the real letters."""

from __future__ import annotations

__all__ = ["cut", "width", "wrap"]

#: Advance widths of a humanist sans in hundredths of an em (Carlito's, rounded to 5).
_WIDTHS: dict[str, int] = {}
for _hundredths, _letters in (
    (20, "'"),
    (25, " ,.:;Iijl"),
    (30, "()-J[]`f{}"),
    (35, "!rt·"),
    (40, '"/L\\csz'),
    (45, "?FSZgkvxy|"),
    (50, "#$*+0123456789<=>EKPTXY^_ae~–"),
    (55, "BCRVbdhnopqu"),
    (60, "ADH"),
    (65, "GNOQU"),
    (70, "%&w…"),
    (80, "m"),
    (85, "M—"),
    (90, "@W"),
):
    _WIDTHS.update(dict.fromkeys(_letters, _hundredths))
#: What is not in the table is as wide as a wide capital, or as two in the scripts that are square.
_UNKNOWN, _SQUARE, _SQUARE_FROM = 60, 100, 0x2E80


def width(words: str, size: float) -> float:
    """Pixels that words take in letters of `size` pixels.

    >>> width("sole", 20)
    34.0
    """
    hundredths = 0
    for letter in words:
        known = _WIDTHS.get(letter)
        if known is None:
            known = _SQUARE if ord(letter) >= _SQUARE_FROM else _UNKNOWN
        hundredths += known
    return hundredths * size / 100


def cut(words: str, size: float, room: float) -> str:
    """The words, or as much of them as `room` pixels hold with an ellipsis at the end.

    >>> cut("port bilge stiffener", 14, 80)
    'port bilge s…'
    >>> cut("sole", 14, 80)
    'sole'
    """
    if width(words, size) <= room:
        return words
    room -= width("…", size)
    kept = 0
    used = 0.0
    for letter in words:
        used += width(letter, size)
        if used > room:
            break
        kept += 1
    return words[:kept].rstrip() + "…"


def wrap(words: str, size: float, room: float, lines: int) -> list[str]:
    """The words on at most `lines` lines of `room` pixels, the last one cut if it must be.

    >>> wrap("Fit the port bilge stiffener", 14, 80, 2)
    ['Fit the port', 'bilge stiffen…']
    """
    laid: list[str] = []
    rest = words.split()
    while rest and len(laid) < lines - 1:
        line = rest.pop(0)
        while rest and width(f"{line} {rest[0]}", size) <= room:
            line = f"{line} {rest.pop(0)}"
        laid.append(cut(line, size, room))
    if rest:
        laid.append(cut(" ".join(rest), size, room))
    return laid
