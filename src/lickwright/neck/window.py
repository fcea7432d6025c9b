"""Which frets and strings are meant?  Windows on the neck, as ``"9-14"``, ``(9, 14)`` or ``9``."""

from __future__ import annotations

import re

from lickwright.errors import NeckError
from lickwright.neck.instrument import Guitar
from lickwright.neck.tunings import parse_tuning

Span = str | int | tuple[int, int]

_SPAN = re.compile(r"(\d+)(?:\s*(?:-|–|\bto\b)\s*(\d+))?")


def read_guitar(guitar: Guitar | str | None) -> Guitar:
    """A guitar from a tuning's name or notes; ``None`` is a standard one, a guitar passes through.

    Parameters
    ----------
    guitar : an instrument, the name or notes of a tuning, or ``None``.

    Returns
    -------
    Guitar
        With 24 frets and a scale length of 648 mm where only a tuning is given.

    Raises
    ------
    NeckError
        When the tuning cannot be read.

    Examples
    --------
    >>> read_guitar("7-string").string_count
    7
    """
    if isinstance(guitar, Guitar):
        return guitar
    return Guitar() if guitar is None else Guitar(open_strings=parse_tuning(guitar))


def fret_window(frets: Span | None, guitar: Guitar) -> tuple[int, int]:
    """Lowest and highest fret of a window; the whole neck for ``None``.

    Parameters
    ----------
    frets : ``"9-14"``, ``(9, 14)``, or ``None``.
    guitar : the instrument, with its capo.

    Returns
    -------
    (int, int)
        Lowest and highest fret, both inside.

    Raises
    ------
    NeckError
        When the text is no window, or leaves the neck.

    Examples
    --------
    >>> fret_window("9-14", Guitar()), fret_window(None, Guitar(frets=22))
    ((9, 14), (0, 22))
    """
    low, high = _ends(frets, "frets") if frets is not None else (0, guitar.last_fret)
    if high > guitar.last_fret:
        raise NeckError(
            f"frets {low}-{high} run off the neck",
            mend=f"The highest fret of this instrument is {guitar.last_fret}",
        )
    return low, high


def string_window(strings: Span | None, guitar: Guitar) -> tuple[int, int]:
    """Highest-sounding and lowest-sounding string of a window (string 1 is the highest).

    Parameters
    ----------
    strings : ``"1-4"``, ``(1, 4)``, or ``None`` for all.
    guitar : the instrument.

    Returns
    -------
    (int, int)
        The lower number first, both inside.

    Raises
    ------
    NeckError
        When the text is no window, or the instrument has no such string.

    Examples
    --------
    >>> string_window("1-4", Guitar()), string_window(None, Guitar())
    ((1, 4), (1, 6))
    """
    first, last = _ends(strings, "strings") if strings is not None else (1, guitar.string_count)
    if first < 1 or last > guitar.string_count:
        raise NeckError(
            f"strings {first}-{last} are not on this instrument",
            mend=f"It has strings 1 (highest) to {guitar.string_count}",
        )
    return first, last


def _ends(span: Span, what: str) -> tuple[int, int]:
    if isinstance(span, int):
        return span, span
    if isinstance(span, str):
        match = _SPAN.fullmatch(span.strip())
        if match is None:
            raise NeckError(f"'{span}' is not a window of {what}", mend="Write it as 1-5")
        span = (int(match[1]), int(match[2] or match[1]))
    low, high = min(span), max(span)
    if low < 0:
        raise NeckError(f"{what} {low} to {high} cannot be below 0", mend="Write it as 1-5")
    return low, high
