"""The chord vocabulary: every kind of chord that has a name of its own, in one table.

Conventions
-----------
* ``suffix`` is the house style: what is printed after the root.
* ``degrees`` are what the symbol says in full.  Where common practice says a tone and players
  leave it out, the tone stands in ``optional`` too.
* A thirteenth chord with a major third holds no natural 11 (it clashes with the third); one with
  a minor third does.  An eleventh chord holds its third, though players mostly leave it out.
* ``C7alt`` names every alteration of the altered scale; one ninth and one fifth of it will do.

Further alterations, additions and omissions compose on these rows by rule: see
:mod:`lickwright.theory.symbols.writing` (degrees to symbol) and
:mod:`lickwright.theory.symbols.reading` (symbol to degrees).

Sources, by the letters in the table
------------------------------------
H : C. Harte, M. Sandler, S. Abdallah, E. Gomez, "Symbolic Representation of Musical Chords: A
    Proposed Syntax for Text Annotations", ISMIR 2005, the table of shorthands.
X : MusicXML 4.0, W3C Music Notation Community Group 2021, the ``kind-value`` enumeration.
- : common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lickwright.theory.degree import degree_semitones
from lickwright.theory.pitch import mask_of

_SOURCES = {
    "H": "Harte et al., ISMIR 2005",
    "X": "MusicXML 4.0 kind-value",
    "-": "common practice, no source",
}


@dataclass(frozen=True, slots=True)
class ChordKind:
    """A kind of chord, free of any root.

    Parameters
    ----------
    suffix : what the house prints after the root, ``""`` for a major triad.
    degrees : names in stacking order, root first unless the symbol says that it is left out.
    spellings : other ways players write the suffix; all of them are read.
    family : triad, power, suspended, added, sixth, seventh, ninth, eleventh, thirteenth.
    source : who says that these degrees are this chord.
    optional : degrees that players leave out without changing the symbol.
    mask : 12-bit mask of the degrees with the root on bit 0 (worked out, not given).
    """

    suffix: str
    degrees: tuple[str, ...]
    spellings: tuple[str, ...] = field(default=(), compare=False)
    family: str = field(default="", compare=False)
    source: str = field(default="", compare=False)
    optional: tuple[str, ...] = field(default=(), compare=False)
    mask: int = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "mask", mask_of(degree_semitones(name) for name in self.degrees))


#: Words that mean the same at the start of a suffix.  ``M`` and ``m`` are the only pair that
#: differs by case alone.
_WORDS = {
    "{maj}": ("maj", "Maj", "MAJ", "ma", "Ma", "MA", "M", "major"),
    "{min}": ("m", "min", "Min", "MIN", "mi", "Mi", "MI", "-", "minor"),
    "{dim}": ("dim", "Dim", "°", "o", "diminished"),
    "{aug}": ("aug", "Aug", "+", "augmented"),
    "{sus}": ("sus4", "sus"),
}

#: suffix | degrees | optional | other spellings | family | source
_TABLE = """
            | 1 3 5              |            | {maj}                                | triad      | HX
m           | 1 b3 5             |            | {min}                                | triad      | HX
dim         | 1 b3 b5            |            | {dim} {min}b5 {min}(b5)              | triad      | HX
aug         | 1 3 #5             |            | {aug} {maj}#5 {maj}(#5) (#5) +5      | triad      | HX
sus2        | 1 2 5              |            |                                      | suspended  | X
sus4        | 1 4 5              |            | sus                                  | suspended  | HX
5           | 1 5                |            | (no3) power                          | power      | X
6           | 1 3 5 6            |            | {maj}6 add6 (add6) add13             | sixth      | HX
m6          | 1 b3 5 6           |            | {min}6 {min}add6 {min}(add6)         | sixth      | HX
6/9         | 1 3 5 6 9          | 5          | 69 6(9) 6add9 6(add9) {maj}6/9 {maj}69 | sixth    | -
m6/9        | 1 b3 5 6 9         | 5          | {min}6/9 {min}69 {min}6(9) {min}6add9 | sixth     | -
7           | 1 3 5 b7           | 5          | dom7 dom                             | seventh    | HX
maj7        | 1 3 5 7            | 5          | {maj}7 Δ Δ7 7M j7 {maj}(maj7)        | seventh    | HX
m7          | 1 b3 5 b7          | 5          | {min}7                               | seventh    | HX
m(maj7)     | 1 b3 5 7           | 5          | {min}{maj}7 {min}(M7) {min}(maj7) {min}Δ {min}Δ7 {min}#7 | seventh | HX
m7b5        | 1 b3 b5 b7         |            | {min}7b5 {min}7(b5) ø ø7 hdim hdim7 half-diminished {min}7-5 | seventh | HX
dim7        | 1 b3 b5 bb7        |            | {dim}7                               | seventh    | HX
dim(maj7)   | 1 b3 b5 7          |            | {dim}{maj}7 {dim}(M7) {dim}(maj7) {dim}Δ {dim}Δ7 {min}{maj}7b5 | seventh | -
7#5         | 1 3 #5 b7          |            | {aug}7 7+ 7aug 7(#5)                 | seventh    | X
7b5         | 1 3 b5 b7          |            | 7(b5)                                | seventh    | -
maj7#5      | 1 3 #5 7           |            | {aug}{maj}7 {aug}(maj7) {aug}(M7) {aug}Δ {aug}Δ7 Δ#5 Δ+ Δ7#5 {maj}7#5 {maj}7+ | seventh | -
maj7b5      | 1 3 b5 7           |            | {maj}7b5 Δb5 Δ7b5                    | seventh    | -
m7#5        | 1 b3 #5 b7         |            | {min}7+                              | seventh    | -
7sus4       | 1 4 5 b7           | 5          | 7{sus} sus7 sus4/7                   | suspended  | -
7sus2       | 1 2 5 b7           | 5          |                                      | suspended  | -
maj7sus4    | 1 4 5 7            | 5          | {maj}7{sus} Δ{sus} Δ7{sus}           | suspended  | -
maj7sus2    | 1 2 5 7            | 5          | {maj}7sus2                           | suspended  | -
6sus4       | 1 4 5 6            |            | 6{sus}                               | suspended  | -
sus4(add9)  | 1 4 5 9            |            | sus24 sus2sus4 sus2/4 sus4/2         | suspended  | -
add9        | 1 3 5 9            |            | (add9) add2 (add2) {maj}add9         | added      | -
m(add9)     | 1 b3 5 9           |            | {min}add9 {min}(add9) {min}add2      | added      | -
add11       | 1 3 5 11           |            | (add11) add4 (add4)                  | added      | -
m(add11)    | 1 b3 5 11          |            | {min}add11 {min}add4                 | added      | -
(add#11)    | 1 3 5 #11          |            | add#11 (#11) {maj}#11 (add#4) add#4 (#4) | added  | -
7(add11)    | 1 3 5 b7 11        | 5          | 7add11 7add4                         | eleventh    | -
7(add13)    | 1 3 5 b7 13        | 5          | 7add13 7add6 7/6 7(13)               | thirteenth    | -
m7(add11)   | 1 b3 5 b7 11       | 5          | {min}7add11 {min}7add4 {min}7(11)    | eleventh    | -
m7(add13)   | 1 b3 5 b7 13       | 5          | {min}7add13 {min}7add6 {min}7(13)    | thirteenth    | -
maj7(add13) | 1 3 5 7 13         | 5          | {maj}7add13 {maj}7add6 {maj}7(13) maj7/6 | thirteenth| -
9           | 1 3 5 b7 9         | 5          | 7(9) 7add9 dom9                      | ninth      | HX
maj9        | 1 3 5 7 9          | 5          | {maj}9 Δ9 9M {maj}7(9) {maj}7add9 Δ7(9) | ninth   | HX
m9          | 1 b3 5 b7 9        | 5          | {min}9 {min}7(9) {min}7add9          | ninth      | HX
m(maj9)     | 1 b3 5 7 9         | 5          | {min}{maj}9 {min}(M9) {min}(maj9) {min}Δ9 | ninth | -
m9b5        | 1 b3 b5 b7 9       |            | {min}9b5 ø9                          | ninth      | -
dim7(add9)  | 1 b3 b5 bb7 9      |            | {dim}9 {dim}7(9) {dim}7add9          | ninth      | -
dim7(addb9) | 1 b3 b5 bb7 b9     |            | {dim}b9 {dim}7b9 {dim}7(b9)          | ninth      | -
9#5         | 1 3 #5 b7 9        |            | {aug}9 9+                            | ninth      | -
9b5         | 1 3 b5 b7 9        |            |                                      | ninth      | -
maj9#5      | 1 3 #5 7 9         |            | {aug}{maj}9 {aug}(maj9) Δ9#5         | ninth      | -
9sus4       | 1 4 5 b7 9         | 5          | 9{sus} sus9                          | suspended  | -
maj9sus4    | 1 4 5 7 9          | 5          | {maj}9{sus}                          | suspended  | -
7b9         | 1 3 5 b7 b9        | 5          | 7(b9) 7addb9                         | ninth      | -
7#9         | 1 3 5 b7 #9        | 5          | 7(#9) 7add#9                         | ninth      | -
m7b9        | 1 b3 5 b7 b9       | 5          | {min}7b9 {min}7(b9)                  | ninth      | -
m7b5b9      | 1 b3 b5 b7 b9      |            | ø7b9 øb9 ø7(b9) {min}7b5(b9)         | ninth      | -
7b5b9       | 1 3 b5 b7 b9       |            |                                      | ninth      | -
7b5#9       | 1 3 b5 b7 #9       |            |                                      | ninth      | -
7#5b9       | 1 3 #5 b7 b9       |            | {aug}7b9                             | ninth      | -
7#5#9       | 1 3 #5 b7 #9       |            | {aug}7#9                             | ninth      | -
7sus4b9     | 1 4 5 b7 b9        | 5          | 7{sus}b9 7{sus}(b9) susb9 sus(b9) 7b9{sus} | suspended | -
7#11        | 1 3 5 b7 #11       | 5          | 7(#11)                               | eleventh   | -
maj7#11     | 1 3 5 7 #11        | 5          | {maj}7#11 Δ#11 Δ7#11 {maj}7(#11)     | eleventh   | -
m7#11       | 1 b3 5 b7 #11      | 5          | {min}7#11                            | eleventh   | -
9#11        | 1 3 5 b7 9 #11     | 5          | 9(#11)                          | eleventh   | -
maj9#11     | 1 3 5 7 9 #11      | 5          | {maj}9#11 Δ9#11 {maj}9(#11)          | eleventh   | -
6/9#11      | 1 3 5 6 9 #11      | 5          | 69#11 6/9(#11)                       | sixth      | -
7b9#11      | 1 3 5 b7 b9 #11    | 5          |                                      | eleventh   | -
7#9#11      | 1 3 5 b7 #9 #11    | 5          |                                      | eleventh   | -
11          | 1 3 5 b7 9 11      | 3 5 9      | dom11                                | eleventh   | X
maj11       | 1 3 5 7 9 11       | 5 9        | {maj}11 Δ11                          | eleventh   | X
m11         | 1 b3 5 b7 9 11     | 5 9        | {min}11 {min}9(11) {min}9add11       | eleventh   | X
m(maj11)    | 1 b3 5 7 9 11      | 5 9        | {min}{maj}11 {min}(M11) {min}(maj11) | eleventh   | -
m11b5       | 1 b3 b5 b7 9 11    | 9          | {min}11b5 ø11                        | eleventh   | -
dim7(add9)(add11) | 1 b3 b5 bb7 9 11 |          | {dim}11                              | eleventh   | -
11#5        | 1 3 #5 b7 9 11     | 3 9        | aug11                                | eleventh   | -
maj11#5     | 1 3 #5 7 9 11      | 9          | {aug}{maj}11                         | eleventh   | -
7b13        | 1 3 5 b7 b13       | 5          | 7(b13) 7b6                           | thirteenth | -
9b13        | 1 3 5 b7 9 b13     | 5          | 9(b13)                               | thirteenth | -
7b9b13      | 1 3 5 b7 b9 b13    | 5          |                                      | thirteenth | -
7#9b13      | 1 3 5 b7 #9 b13    | 5          |                                      | thirteenth | -
m7b13       | 1 b3 5 b7 b13      | 5          | {min}7b13 {min}7(b13) {min}7b6       | thirteenth | -
13          | 1 3 5 b7 9 13      | 5 9        | 7(9)(13) 9(13) 9add13 dom13          | thirteenth | X
maj13       | 1 3 5 7 9 13       | 5 9        | {maj}13 Δ13 {maj}9(13) {maj}9add13   | thirteenth | X
m13         | 1 b3 5 b7 9 11 13  | 5 9 11     | {min}13                              | thirteenth | X
m13b5       | 1 b3 b5 b7 9 11 13 | 9 11       | {min}13b5 ø13                        | thirteenth | -
m9(add13)   | 1 b3 5 b7 9 13     | 5 9        | {min}9add13 {min}9(13)               | thirteenth | -
m(maj13)    | 1 b3 5 7 9 11 13   | 5 9 11     | {min}{maj}13 {min}(M13) {min}(maj13) | thirteenth | -
13b9        | 1 3 5 b7 b9 13     | 5          | 13(b9) 7b9(13) 7b9add13              | thirteenth | -
13#9        | 1 3 5 b7 #9 13     | 5          | 13(#9) 7#9(13) 7#9add13              | thirteenth | -
13#11       | 1 3 5 b7 9 #11 13  | 5 9        | 13(#11)                              | thirteenth | -
13b9#11     | 1 3 5 b7 b9 #11 13 | 5          |                                      | thirteenth | -
13#5        | 1 3 #5 b7 9 13     | 9          | {aug}13                              | thirteenth | -
maj13#11    | 1 3 5 7 9 #11 13   | 5 9        | {maj}13#11 {maj}13(#11) Δ13#11       | thirteenth | -
maj13#5     | 1 3 #5 7 9 13      | 9          | {aug}{maj}13                         | thirteenth | -
13sus4      | 1 4 5 b7 9 13      | 5 9        | 13{sus} sus13                        | suspended  | -
13sus4b9    | 1 4 5 b7 b9 13     | 5          | 13{sus}b9 13{sus}(b9) 13b9{sus}      | suspended  | -
7alt        | 1 3 b7 b9 #9 #11 b13 | b9 #9 #11 b13 | alt 7alt. altered                | thirteenth | -
"""  # noqa: E501


def _expand(template: str) -> list[str]:
    for slot, words in _WORDS.items():
        if slot in template:
            return [
                spelling for word in words for spelling in _expand(template.replace(slot, word, 1))
            ]
    return [template]


def _row(line: str) -> ChordKind:
    suffix, degrees, optional, spellings, family, source = (
        cell.strip() for cell in line.split("|")
    )
    words = [word for template in spellings.split() for word in _expand(template)]
    return ChordKind(
        suffix,
        tuple(degrees.split()),
        tuple(word for word in dict.fromkeys(words) if word != suffix),
        family,
        "; ".join(_SOURCES[letter] for letter in source),
        tuple(optional.split()),
    )


#: Every kind of chord with a name of its own, simplest families first.
VOCABULARY: tuple[ChordKind, ...] = tuple(
    _row(line) for line in _TABLE.splitlines() if line.strip()
)

#: The rows by the set of their degrees.
KIND_BY_DEGREES: dict[frozenset[str], ChordKind] = {
    frozenset(kind.degrees): kind for kind in VOCABULARY
}

#: The rows by what sounds; of rows that sound alike the first.
KIND_BY_MASK: dict[int, ChordKind] = {kind.mask: kind for kind in reversed(VOCABULARY)}
