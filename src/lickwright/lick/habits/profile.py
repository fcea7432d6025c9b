"""How is a player's hand written down?  A short plain file: a size, and the weights that differ.

    # hand of a player
    hand: medium
    roll_ring: 250
    shift: 1900

Every line is a name and a value; ``#`` begins a remark.  The file is YAML too, should another
program want to read it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from lickwright.errors import HandError
from lickwright.lick.fingering import weights_of
from lickwright.neck import HandProfile, hand_profile

#: A file of hands is no larger, in bytes.
_LARGEST = 20_000


def print_profile(hand: HandProfile, remarks: Sequence[str] = ()) -> str:
    """The text of a hand's file.

    Parameters
    ----------
    hand : one of the usual sizes, with habits or without.
    remarks : lines that stand above it.

    Returns
    -------
    str

    Examples
    --------
    >>> print(print_profile(hand_profile("small")), end="")
    hand: small
    """
    lines = [f"# {remark}".rstrip() for remark in remarks]
    lines.append(f"hand: {hand.name}")
    lines += [f"{name}: {weight}" for name, weight in hand.habits]
    return "\n".join(lines) + "\n"


def parse_profile(text: str, name: str = "a hand's file") -> HandProfile:
    """The hand that a file's text describes.

    Parameters
    ----------
    text : as :func:`print_profile` writes it.
    name : of the file, for errors.

    Returns
    -------
    HandProfile

    Raises
    ------
    HandError
        With the file and the line, and how to mend it.

    Examples
    --------
    >>> parse_profile("hand: large\\nshift: 1500").habits
    (('shift', 1500),)
    """
    hand: HandProfile | None = None
    habits: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        words = line.partition("#")[0].strip()
        if not words:
            continue
        key, colon, value = (part.strip() for part in words.partition(":"))
        where = f"{name}, line {number}"
        if not colon:
            raise HandError(f"{where}: '{words}' is no name with a value", mend="Write shift: 1900")
        if key in habits or (key == "hand" and hand is not None):
            raise HandError(f"{where}: '{key}' comes twice", mend="Leave one of them out")
        try:
            if key == "hand":
                hand = hand_profile(value)
                continue
            if not (value.isascii() and value.isdigit()):
                raise HandError(
                    f"'{value}' is no weight for '{key}'", mend="Give a whole number from 0"
                )
            habits[key] = int(value)
            weights_of(replace(hand_profile("medium"), habits=((key, int(value)),)))
        except HandError as error:
            raise HandError(f"{where}: {error.what}", mend=error.mend) from error
    return replace(hand or hand_profile("medium"), habits=tuple(habits.items()))


def read_profile(path: Path) -> HandProfile:
    """The hand that a file describes.

    Parameters
    ----------
    path : of the file.

    Returns
    -------
    HandProfile

    Raises
    ------
    HandError
        When there is no such file, or it is no hand's.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "mine.hand")
    ...     _ = file.write_text("hand: large\\nshift: 1500")
    ...     read_profile(file).habits
    (('shift', 1500),)
    """
    try:
        if path.stat().st_size > _LARGEST:
            raise HandError(f"{path} is too large for a hand's file", mend="Name the file it is in")
        text = path.read_text("utf-8")
    except OSError as error:
        raise HandError(f"{path} cannot be read: {error.strerror}", mend="Name a file") from error
    except UnicodeDecodeError as error:
        raise HandError(f"{path} is not text", mend="Name a hand's file") from error
    return parse_profile(text, str(path))
