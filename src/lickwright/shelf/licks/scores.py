"""How is a Score written as plain data that reads back as the same Score?

Each row of a lick is one string of words, a word a note, as players write strokes and fingers:
``"onset": "0 1/4 1/2"``, ``"strokes": "D D U -"``.  Rows that say nothing (no vibrato, no slide)
are left out.  Times are exact fractions of a quarter note.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Any, TypeVar

from lickwright.errors import LickwrightError
from lickwright.lick import (
    Belonging,
    Lick,
    LickNote,
    Marks,
    Part,
    PartLink,
    Stroke,
    Technique,
    Tuplet,
)
from lickwright.neck import Guitar, Position
from lickwright.score import NO_CHORD, Bar, ChordSpan, Score, Swing, parse_swing
from lickwright.shelf.errors import ShelfError
from lickwright.theory import Chord, NoteName, Pitch, parse_chord, parse_key

#: More notes or bars than any lick has; what is larger is damaged.
MAX_ROWS = 10_000

_FRACTION = re.compile(r"-?[0-9]{1,9}(?:/[1-9][0-9]{0,8})?")
_NOTE = re.compile(r"([A-G])(#{0,6}|b{0,6})")
_PITCH = re.compile(_NOTE.pattern + r"(-?[0-9])")
_NOTHING = "."
#: The row of each mark, and the word that stands for it.
_MARK_ROWS = {"vibrato": ("vibrato", "~"), "mutes": ("palm_mute", "PM"), "dead": ("dead", "x")}

T = TypeVar("T")
Data = Mapping[str, Any]


def score_data(score: Score) -> dict[str, Any]:
    """A Score as plain data: what JSON can say."""
    guitar = score.guitar
    return {
        "name": score.name,
        "guitar": {
            "strings": guitar.tuning,
            "frets": guitar.frets,
            "scale_mm": list(guitar.scale_mm),
            "spacing_mm": guitar.spacing_mm,
            "capo": guitar.capo,
            "left_handed": guitar.left_handed,
        },
        "tempo": [score.slow_bpm, score.target_bpm],
        "bars": [
            [bar.number, str(bar.onset), str(bar.length), f"{bar.beats}/{bar.unit}", str(bar.key)]
            for bar in score.bars
        ],
        "chords": [
            [
                str(chord.onset),
                str(chord.length),
                chord.symbol,
                " ".join(map(str, chord.notes)),
                str(chord.bass),
            ]
            for chord in score.chords
        ],
        **({} if score.swing is None else {"swing": _swing_words(score.swing)}),
        "length": str(score.lick.length),
        **_rows(score.lick.notes),
        "tuplets": [
            [str(tuplet.onset), str(tuplet.length), tuplet.actual, tuplet.normal]
            for tuplet in score.lick.tuplets
        ],
        **({"parts": parts} if (parts := [_part_row(p) for p in score.lick.parts]) else {}),
    }


def _swing_words(swing: Swing) -> str:
    """A swing as :func:`~lickwright.score.parse_swing` reads it."""
    unit = "16ths " if swing.unit == Fraction(1, 4) else ""
    if swing.ratio is None:
        return f"{unit}by tempo"
    return f"{unit}{swing.ratio.numerator}:{swing.ratio.denominator}"


def _part_row(part: Part) -> list[str | int | None]:
    link = None if part.link is None else part.link.value
    return [part.name, str(part.onset), str(part.length), link, part.of]


def _rows(notes: Sequence[LickNote]) -> dict[str, str]:
    rows = {
        "places": [f"{note.position.string}/{note.position.fret}" for note in notes],
        "pitches": [str(note.pitch) for note in notes],
        "onsets": [str(note.onset) for note in notes],
        "lengths": [str(note.duration) for note in notes],
        "fingers": [_word(note.finger) for note in notes],
        "strokes": ["-" if note.stroke is None else note.stroke.value for note in notes],
    }
    rare = {
        "techniques": [
            _NOTHING if note.technique is Technique.PICK else note.technique.value for note in notes
        ],
        "voices": [_word(note.voice) for note in notes],
        "degrees": [_word(note.degree) for note in notes],
    }
    for name, (mark, sign) in _MARK_ROWS.items():
        rare[name] = [sign if getattr(note.marks, mark) else _NOTHING for note in notes]
    rare["triads"] = ["+".join(map(str, note.belongs.triads)) or _NOTHING for note in notes]
    rare["part"] = [_word(note.belongs.part) for note in notes]
    rare["approaches"] = ["a" if note.belongs.approach else _NOTHING for note in notes]
    rows |= {name: words for name, words in rare.items() if set(words) - {_NOTHING}}
    return {name: " ".join(words) for name, words in rows.items()}


def _approach(word: str) -> bool:
    if word not in ("a", _NOTHING):
        raise _damaged(f"'{word:.40}' stands where 'a' marks an approach note")
    return word == "a"


def _word(value: object) -> str:
    return _NOTHING if value is None else str(value)


def score_json(score: Score) -> str:
    """A Score as one line of JSON; the same Score gives the same line."""
    return json.dumps(score_data(score), ensure_ascii=False, separators=(",", ":"))


def score_from_json(line: str) -> Score:
    """The Score that :func:`score_json` wrote.

    Raises
    ------
    ShelfError
        When the line is no JSON, or holds no Score.
    """
    try:
        data = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise _damaged("it cannot be read") from error
    return score_from(data)


def score_from(data: object) -> Score:
    """The Score that some plain data holds.

    Raises
    ------
    ShelfError
        When the data is no Score, or holds a note that its instrument does not have.
    """
    try:
        score = _score(_mapping(data))
    except ShelfError:
        raise
    except LickwrightError as error:
        raise ShelfError(f"the lick is damaged: {error.what}", mend=_MEND) from error
    _check(score)
    return score


_MEND = "Export it once more from the shelf that it came from"


def _damaged(what: str) -> ShelfError:
    return ShelfError(f"the lick is damaged: {what}", mend=_MEND)


def _score(data: Data) -> Score:
    slow, target = _list(data, "tempo", 2)
    return Score(
        name=_text(data, "name"),
        guitar=_guitar(_mapping(data.get("guitar"))),
        lick=Lick(
            _notes(data),
            _fraction(data.get("length")),
            tuple(
                Tuplet(_fraction(row[0]), _fraction(row[1]), _count(row[2]), _count(row[3]))
                for row in _table(data, "tuplets", 4)
            ),
            _parts(data),
        ),
        bars=tuple(_bar(row) for row in _table(data, "bars", 5)),
        chords=tuple(
            ChordSpan(
                _fraction(row[0]),
                _fraction(row[1]),
                None if row[2] == NO_CHORD else _chord(_string(row[2])),
                tuple(map(_note, _string(row[3]).split())),
                _note(_string(row[4])),
                row[2] == NO_CHORD,
            )
            for row in _table(data, "chords", 5)
        ),
        slow_bpm=_number(slow),
        target_bpm=_number(target),
        swing=parse_swing(_text(data, "swing")) if "swing" in data else None,
    )


def _guitar(data: Data) -> Guitar:
    strings = [_pitch(word) for word in _text(data, "strings").split()]
    return Guitar(
        open_strings=tuple(reversed(strings)),
        frets=_count(data.get("frets")),
        scale_mm=tuple(map(_number, _list(data, "scale_mm", len(strings)))),
        spacing_mm=_number(data.get("spacing_mm")),
        capo=_count(data.get("capo")),
        left_handed=data.get("left_handed") is True,
    )


def _bar(row: Sequence[object]) -> Bar:
    beats, _, unit = _string(row[3]).partition("/")
    if not re.fullmatch("[1-9][0-9]?", beats) or unit not in ("1", "2", "4", "8", "16"):
        raise _damaged(f"'{row[3]}' is no time signature")
    return Bar(
        _count(row[0]),
        _fraction(row[1]),
        _fraction(row[2]),
        int(beats),
        int(unit),
        parse_key(_string(row[4])),
    )


def _notes(data: Data) -> tuple[LickNote, ...]:
    count = len(_text(data, "places").split())
    if count > MAX_ROWS:
        raise _damaged(f"it has {count} notes")

    def row(name: str, read: Callable[[str], T], usual: T) -> list[T]:
        words = _text(data, name).split() if name in data else [_NOTHING] * count
        if len(words) != count:
            raise _damaged(f"'{name}' has {len(words)} words for {count} notes")
        return [usual if word == _NOTHING else read(word) for word in words]

    nowhere, silent = Position(0, 0), Fraction(0)
    nobody: tuple[int, ...] = ()
    columns = zip(
        row("places", _place, nowhere),
        row("pitches", _pitch, Pitch(NoteName("C"), 0)),
        row("onsets", _fraction, silent),
        row("lengths", _fraction, silent),
        row("fingers", _finger, None),
        row("strokes", _stroke, None),
        row("techniques", _technique, Technique.PICK),
        _marks(row, count),
        row("voices", _voice, None),
        row("degrees", _degree, None),
        map(
            Belonging,
            row("triads", _held_by, nobody),
            row("part", _voice, None),
            row("approaches", _approach, False),
        ),
        strict=True,
    )
    return tuple(LickNote(*column) for column in columns)


def _marks(row: Callable[[str, Callable[[str], str], str], list[str]], count: int) -> list[Marks]:
    """What every note bears, from the rows of the marks."""
    borne: list[dict[str, bool]] = [{} for _ in range(count)]
    for name, (mark, sign) in _MARK_ROWS.items():
        for bears, word in zip(borne, row(name, str, _NOTHING), strict=True):
            bears[mark] = word == sign
    return [Marks(**bears) for bears in borne]


def _parts(data: Data) -> tuple[Part, ...]:
    """The parts of a lick; licks that were put by before there were any have none."""
    return tuple(
        Part(
            _string(row[0]),
            _fraction(row[1]),
            _fraction(row[2]),
            None if row[3] is None else _link(row[3]),
            None if row[4] is None else _count(row[4]),
        )
        for row in (_table(data, "parts", 5) if "parts" in data else ())
    )


def _check(score: Score) -> None:
    """Whether the parts fit together, as every later room takes for granted."""
    if not score.bars:
        raise _damaged("it has no bars")
    if not 1 <= score.slow_bpm <= score.target_bpm <= 1000:
        raise _damaged(f"its tempi are {score.slow_bpm:g} and {score.target_bpm:g}")
    end = score.bars[0].onset
    for bar in score.bars:
        if bar.onset != end or bar.length <= 0:
            raise _damaged(f"bar {bar.number} does not follow the one before it")
        end = bar.end
    count = len(score.lick.parts)
    if any(part.of is not None and part.of >= place for place, part in enumerate(score.lick.parts)):
        raise _damaged("a part goes back to none before it")
    moment = Fraction(0)
    for number, note in enumerate(score.lick.notes, start=1):
        if not score.guitar.has(note.position):
            raise _damaged(f"note {number} is not on its instrument")
        if score.guitar.midi_at(note.position) != note.pitch.midi:
            raise _damaged(f"note {number} does not sound {note.pitch} at {note.position}")
        if note.onset < moment or note.duration <= 0:
            raise _damaged(f"note {number} does not follow the one before it")
        if note.belongs.part is not None and note.belongs.part >= count:
            raise _damaged(f"note {number} belongs to part {note.belongs.part} of {count}")
        moment = note.end
    if moment > score.length:
        raise _damaged("its last note ends after its last bar")


# --- words and numbers ---------------------------------------------------------------------------


def _mapping(value: object) -> Data:
    if not isinstance(value, dict):
        raise _damaged("a part of it is missing")
    return value


def _string(value: object) -> str:
    if not isinstance(value, str):
        raise _damaged(f"{value!r:.40} stands where text belongs")
    return value


def _text(data: Data, name: str) -> str:
    return _string(data.get(name))


def _list(data: Data, name: str, count: int) -> list[object]:
    value = data.get(name)
    if not isinstance(value, list) or len(value) != count:
        raise _damaged(f"'{name}' does not hold {count} values")
    return value


def _table(data: Data, name: str, columns: int) -> list[list[object]]:
    value = data.get(name)
    if not isinstance(value, list) or len(value) > MAX_ROWS:
        raise _damaged(f"'{name}' is no table")
    if not all(isinstance(row, list) and len(row) == columns for row in value):
        raise _damaged(f"'{name}' has a row without its {columns} values")
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e6:
        raise _damaged(f"{value!r:.40} stands where a number belongs")
    return float(value)


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= MAX_ROWS:
        raise _damaged(f"{value!r:.40} stands where a count belongs")
    return value


def _fraction(value: object) -> Fraction:
    if not isinstance(value, str) or not _FRACTION.fullmatch(value):
        raise _damaged(f"{value!r:.40} stands where a length belongs")
    return Fraction(value)


def _note(word: str) -> NoteName:
    match = _NOTE.fullmatch(word)
    if match is None:
        raise _damaged(f"'{word:.40}' is no note")
    return NoteName(match[1], _alter(match[2]))


@lru_cache(maxsize=1024)
def _chord(symbol: str) -> Chord | None:
    return parse_chord(symbol) if symbol else None


def _pitch(word: str) -> Pitch:
    match = _PITCH.fullmatch(word)
    if match is None:
        raise _damaged(f"'{word:.40}' is no pitch")
    return Pitch(NoteName(match[1], _alter(match[2])), int(match[3]))


def _alter(signs: str) -> int:
    assert set(signs) <= set("#b"), "matched before"
    return len(signs) if signs.startswith("#") else -len(signs)


def _place(word: str) -> Position:
    match = re.fullmatch("([0-9]{1,2})/([0-9]{1,2})", word)
    if match is None:
        raise _damaged(f"'{word:.40}' is no string and fret")
    return Position(int(match[1]), int(match[2]))


def _finger(word: str) -> int | None:
    if word not in ("0", "1", "2", "3", "4"):
        raise _damaged(f"'{word:.40}' is no finger")
    return int(word)


def _stroke(word: str) -> Stroke | None:
    if word not in ("D", "U", "-"):
        raise _damaged(f"'{word:.40}' is no stroke")
    return None if word == "-" else Stroke(word)


def _technique(word: str) -> Technique:
    if word not in set(Technique):
        raise _damaged(f"'{word:.40}' is no technique")
    return Technique(word)


def _voice(word: str) -> int | None:
    if not re.fullmatch("[0-9]{1,2}", word):
        raise _damaged(f"'{word:.40}' is no voice")
    return int(word)


def _held_by(word: str) -> tuple[int, ...]:
    if not re.fullmatch(r"[0-9]{1,2}(?:\+[0-9]{1,2})*", word):
        raise _damaged(f"'{word:.40}' names no triads")
    return tuple(map(int, word.split("+")))


def _link(value: object) -> PartLink:
    if not isinstance(value, str) or value not in set(PartLink):
        raise _damaged(f"'{value!s:.40}' is nothing that a part does with another")
    return PartLink(value)


def _degree(word: str) -> str | None:
    return word[:8]
