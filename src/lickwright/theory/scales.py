"""The scales of the trade in one table: degrees, names, and how each is written down.

Conventions
-----------
* A seven-note scale uses every letter once, so the fourth of the altered scale is written b4
  although it is heard as a major third.
* The modes of a parent scale are its rotations; the tests derive each row that way.
* ``signature`` names the diatonic mode whose key signature the scale is written with: for the
  altered modes the one their name is built on (C lydian dominant under the one sharp of C
  lydian), for harmonic and melodic minor the minor, for the others the nearest by degrees that
  fits their use.  Common practice, no source.

Sources: modes of major, melodic minor and harmonic minor by their usual names, common practice,
no source; whole tone and octatonic are the first two modes of limited transposition of
O. Messiaen, *Technique de mon langage musical*, 1944; the sets of all of them are checked
against A. Forte, *The Structure of Atonal Music*, 1973.  Bebop scales add a passing tone to a
scale of seven: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lickwright.errors import TheoryError, did_you_mean
from lickwright.theory.degree import degree_semitones
from lickwright.theory.pitch import mask_of

#: Fifths that the signature of a diatonic mode lies from its tonic's own place on the line of
#: fifths: D dorian has the signature of C, two fifths below D.
DIATONIC_FIFTHS = {
    "major": 0,
    "dorian": -2,
    "phrygian": -4,
    "lydian": 1,
    "mixolydian": -1,
    "minor": -3,
    "locrian": -5,
}


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale, free of any tonic.

    Parameters
    ----------
    name : the house name, small letters.
    degrees : ascending, the tonic first.
    aliases : other names that are read.
    family : the parent scale it is a mode of, or pentatonic, blues, symmetric, bebop.
    signature : the diatonic mode whose signature it is written with.
    mask : 12-bit mask of the degrees, tonic on bit 0 (worked out, not given).
    """

    name: str
    degrees: tuple[str, ...]
    aliases: tuple[str, ...] = field(default=(), compare=False)
    family: str = field(default="", compare=False)
    signature: str = field(default="major", compare=False)
    mask: int = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "mask", mask_of(degree_semitones(name) for name in self.degrees))


#: name | degrees | family | signature | aliases
_TABLE = """
major                | 1 2 3 4 5 6 7          | major          | major      | ionian
dorian               | 1 2 b3 4 5 6 b7        | major          | dorian     |
phrygian             | 1 b2 b3 4 5 b6 b7      | major          | phrygian   |
lydian               | 1 2 3 #4 5 6 7         | major          | lydian     |
mixolydian           | 1 2 3 4 5 6 b7         | major          | mixolydian |
minor                | 1 2 b3 4 5 b6 b7       | major          | minor      | aeolian, natural minor
locrian              | 1 b2 b3 4 b5 b6 b7     | major          | locrian    |
melodic minor        | 1 2 b3 4 5 6 7         | melodic minor  | minor      | jazz minor, ascending melodic minor
dorian b2            | 1 b2 b3 4 5 6 b7       | melodic minor  | dorian     | phrygian natural 6, phrygian #6
lydian augmented     | 1 2 3 #4 #5 6 7        | melodic minor  | lydian     | lydian #5
lydian dominant      | 1 2 3 #4 5 6 b7        | melodic minor  | lydian     | lydian b7, mixolydian #4, mixolydian #11, acoustic, overtone
mixolydian b6        | 1 2 3 4 5 b6 b7        | melodic minor  | mixolydian | mixolydian b13, aeolian dominant
locrian #2           | 1 2 b3 4 b5 b6 b7      | melodic minor  | locrian    | locrian natural 2, aeolian b5, half diminished
altered              | 1 b2 b3 b4 b5 b6 b7    | melodic minor  | locrian    | super locrian, altered dominant, diminished whole tone
harmonic minor       | 1 2 b3 4 5 b6 7        | harmonic minor | minor      | aeolian natural 7, minor natural 7
locrian #6           | 1 b2 b3 4 b5 6 b7      | harmonic minor | locrian    | locrian natural 6, locrian 13
ionian #5            | 1 2 3 4 #5 6 7         | harmonic minor | major      | ionian augmented, major #5, augmented major
dorian #4            | 1 2 b3 #4 5 6 b7       | harmonic minor | dorian     | dorian #11
phrygian dominant    | 1 b2 3 4 5 b6 b7       | harmonic minor | phrygian   | phrygian major, phrygian natural 3, mixolydian b2 b6, mixolydian b9 b13
lydian #2            | 1 #2 3 #4 5 6 7        | harmonic minor | lydian     | lydian #9
altered bb7          | 1 b2 b3 b4 b5 b6 bb7   | harmonic minor | locrian    | super locrian bb7, altered diminished, ultralocrian
harmonic major       | 1 2 3 4 5 b6 7         | harmonic major | major      | ionian b6, major b6
dorian b5            | 1 2 b3 4 b5 6 b7       | harmonic major | dorian     | locrian #2 #6, locrian natural 2 natural 6
phrygian b4          | 1 b2 b3 b4 5 b6 b7     | harmonic major | phrygian   | altered natural 5, altered dominant natural 5
lydian b3            | 1 2 b3 #4 5 6 7        | harmonic major | lydian     | lydian minor, lydian diminished, melodic minor #4
mixolydian b2        | 1 b2 3 4 5 6 b7        | harmonic major | mixolydian | mixolydian b9, dominant b9
lydian augmented #2  | 1 #2 3 #4 #5 6 7       | harmonic major | lydian     | lydian #2 #5, lydian augmented #9
locrian bb7          | 1 b2 b3 4 b5 b6 bb7    | harmonic major | locrian    | locrian diminished 7
major pentatonic     | 1 2 3 5 6              | pentatonic     | major      | pentatonic, pentatonic major
minor pentatonic     | 1 b3 4 5 b7            | pentatonic     | minor      | pentatonic minor
suspended pentatonic | 1 2 4 5 b7             | pentatonic     | mixolydian | sus pentatonic
dominant pentatonic  | 1 2 3 5 b7             | pentatonic     | mixolydian | mixolydian pentatonic
minor 6 pentatonic   | 1 b3 4 5 6             | pentatonic     | dorian     | minor pentatonic 6, dorian pentatonic
blues                | 1 b3 4 b5 5 b7         | blues          | minor      | minor blues
major blues          | 1 2 b3 3 5 6           | blues          | major      |
whole tone           | 1 2 3 #4 #5 b7         | symmetric      | mixolydian |
half-whole           | 1 b2 #2 3 #4 5 6 b7    | symmetric      | mixolydian | half-whole diminished, half whole octatonic, dominant diminished, semitone tone
whole-half           | 1 2 b3 4 b5 b6 6 7     | symmetric      | minor      | whole-half diminished, whole half octatonic, diminished, octatonic, tone semitone
augmented            | 1 #2 3 5 #5 7          | symmetric      | major      | augmented hexatonic, hexatonic
inverse augmented    | 1 b2 3 4 #5 6          | symmetric      | major      | inverted augmented
tritone scale        | 1 b2 3 b5 5 b7         | symmetric      | mixolydian | tritone
double harmonic      | 1 b2 3 4 5 b6 7        | double harmonic | major     | double harmonic major, phrygian major 7
lydian #2 #6         | 1 #2 3 #4 5 #6 7       | double harmonic | lydian    | lydian #9 #13
altered natural 5 bb7 | 1 b2 b3 b4 5 b6 bb7   | double harmonic | phrygian  | phrygian b4 bb7
double harmonic minor | 1 2 b3 #4 5 b6 7      | double harmonic | minor     | harmonic minor #4, aeolian #4 natural 7
mixolydian b5 b2     | 1 b2 3 4 b5 6 b7       | double harmonic | mixolydian | locrian natural 3 natural 6, mixolydian b9 b5
ionian #5 #2         | 1 #2 3 4 #5 6 7        | double harmonic | major     | ionian augmented #2
locrian bb3 bb7      | 1 b2 bb3 4 b5 b6 bb7   | double harmonic | locrian   |
neapolitan minor     | 1 b2 b3 4 5 b6 7       | neapolitan     | minor      | phrygian natural 7
neapolitan major     | 1 b2 b3 4 5 6 7        | neapolitan     | minor      | dorian b2 natural 7
bebop dominant       | 1 2 3 4 5 6 b7 7       | bebop          | mixolydian | bebop mixolydian
bebop major          | 1 2 3 4 5 #5 6 7       | bebop          | major      |
bebop dorian         | 1 2 b3 3 4 5 6 b7      | bebop          | dorian     | bebop minor
bebop melodic minor  | 1 2 b3 4 5 #5 6 7      | bebop          | minor      |
"""  # noqa: E501


def _row(line: str) -> Scale:
    name, degrees, family, signature, aliases = (cell.strip() for cell in line.split("|"))
    return Scale(
        name,
        tuple(degrees.split()),
        tuple(alias.strip() for alias in aliases.split(",") if alias.strip()),
        family,
        signature,
    )


#: Every scale that a key or a search can name.
SCALES: tuple[Scale, ...] = tuple(_row(line) for line in _TABLE.splitlines() if line.strip())

#: The parents whose seven modes are listed, in the order of the table.
PARENT_SCALES = ("major", "melodic minor", "harmonic minor", "harmonic major", "double harmonic")

#: Families whose scales are lines more than the sound of a chord: a chord does not offer them.
LINE_FAMILIES = frozenset({"bebop", "double harmonic", "neapolitan"})


def _squashed(name: str) -> str:
    """A name as it is compared: small letters, no spaces or hyphens, signs as # and b."""
    plain = name.strip().lower().replace("♯", "#").replace("♭", "b").replace("♮", "natural")
    plain = plain.replace("sharp", "#").replace("flat", "b")
    return "".join(letter for letter in plain if letter not in " -_")


_BY_NAME = {_squashed(name): scale for scale in SCALES for name in (scale.name, *scale.aliases)}


def find_scale(name: str) -> Scale:
    """The scale of that name or alias; ``Locrian ♯2`` and ``locrian sharp 2`` are one.

    Parameters
    ----------
    name : a name or an alias, in any capitals.

    Returns
    -------
    Scale
        Its degrees, free of any tonic.

    Raises
    ------
    TheoryError
        With the nearest name.

    Examples
    --------
    >>> find_scale("Locrian ♯2").degrees
    ('1', '2', 'b3', '4', 'b5', 'b6', 'b7')
    """
    scale = _BY_NAME.get(_squashed(name))
    if scale is None:
        known = [word for scale in SCALES for word in (scale.name, *scale.aliases)]
        raise TheoryError(
            f"'{name}' is not a mode or scale",
            mend=did_you_mean(name.strip().lower(), known)
            or "Use one such as major, minor, dorian, melodic minor or half-whole",
        )
    return scale


def modes_of(parent: str) -> tuple[Scale, ...]:
    """The seven modes of a parent scale, from its first degree up.

    Raises
    ------
    TheoryError
        When there is no such parent.
    """
    family = find_scale(parent).name
    if family not in PARENT_SCALES:
        raise TheoryError(
            f"'{parent}' is not a parent scale", mend=f"Use one of: {', '.join(PARENT_SCALES)}"
        )
    return tuple(scale for scale in SCALES if scale.family == family)
