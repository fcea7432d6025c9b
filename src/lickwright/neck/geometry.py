"""Millimetres on a neck.

The distance from nut to fret ``n`` is ``L (1 - 2**(-n/12))`` for a scale length ``L``: twelve-tone
equal temperament, so fret 12 stands at ``L/2``.
"""

from __future__ import annotations

import re

from lickwright.errors import NeckError

INCH_MM = 25.4

_LENGTH = re.compile(r"(\d+(?:\.\d+)?)\s*(mm|cm|in|inch|inches|\")?")


def fret_mm(scale_mm: float, fret: float) -> float:
    """Distance in mm from the nut to a fret wire; fractional frets are allowed.

    Parameters
    ----------
    scale_mm : the scale length in mm, nut to bridge.
    fret : which fret; the nut is 0.

    Returns
    -------
    float
        Millimetres.

    Examples
    --------
    >>> fret_mm(648, 12)
    324.0
    """
    return float(scale_mm * (1.0 - 2.0 ** (-fret / 12.0)))


def finger_mm(scale_mm: float, fret: int) -> float:
    """Distance in mm from the nut to where a finger stops ``fret``: just behind the wire.

    Players press close behind the wire; the place used is a quarter of the way back to the wire
    before (common practice, no source).
    """
    if fret == 0:
        return 0.0
    return fret_mm(scale_mm, fret) - 0.25 * (fret_mm(scale_mm, fret) - fret_mm(scale_mm, fret - 1))


def parse_scale_length(text: str | float) -> float:
    """A scale length in mm, from ``"648 mm"``, ``"25.5 in"``, ``'25.5"'`` or a number of mm.

    Raises
    ------
    NeckError
        When the text is no length, or no length that a neck has (300 to 1000 mm).
    """
    match = _LENGTH.fullmatch(str(text).strip().lower())
    if match is None:
        raise NeckError(f"'{text}' is not a scale length", mend="Write it as 648 mm or 25.5 in")
    unit = match[2] or "mm"
    length = float(match[1]) * {"mm": 1.0, "cm": 10.0}.get(unit, INCH_MM)
    if not 300.0 <= length <= 1000.0:
        raise NeckError(
            f"a scale length of {length:g} mm",
            mend="Give a length between 300 and 1000 mm, with its unit (mm or in)",
        )
    return round(length, 6)


def parse_scale_lengths(text: str | float, strings: int) -> tuple[float, ...]:
    """A scale length for each string, string 1 first.

    One length serves all strings; two, as ``"25.5-27 in"``, are a fanned neck: the shorter goes to
    string 1, the longer to the lowest string, and those between are spread evenly.

    Parameters
    ----------
    text : ``"648 mm"``, ``"25.5 in"``, ``"25.5-27 in"``; a bare number is mm.
    strings : how many strings there are.

    Returns
    -------
    tuple of float
        Millimetres, a length for each string.

    Raises
    ------
    NeckError
        As :func:`parse_scale_length`.

    Examples
    --------
    >>> [round(length, 1) for length in parse_scale_lengths("25.5-27 in", 4)]
    [647.7, 660.4, 673.1, 685.8]
    """
    ends = re.split(r"\s*(?:-|–|\bto\b)\s*", str(text).strip())
    if len(ends) == 1:
        return (parse_scale_length(text),) * strings
    if len(ends) != 2:
        raise NeckError(
            f"'{text}' is not a scale length",
            mend="Write one length, or the shortest and the longest as 25.5-27 in",
        )
    unit = re.sub(r"[\d.\s]", "", ends[1])
    first = ends[0] if re.search(r"[a-z\"]", ends[0].lower()) else ends[0] + unit
    short, long = sorted((parse_scale_length(first), parse_scale_length(ends[1])))
    return tuple(round(short + (long - short) * i / (strings - 1), 6) for i in range(strings))
