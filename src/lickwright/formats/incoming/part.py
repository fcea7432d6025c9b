"""What does one part of a MusicXML file play, bar by bar and staff by staff?

Time is exact: quarter notes from the first bar line.  Pitches come out sounding, whatever the
instrument transposes.  What a single line of notes has no room for (grace notes, repeats, lyrics)
is counted, so that the caller can say what was left out.

Source: W3C MusicXML 4.0 (2021), the elements of ``music-data``.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field, replace
from fractions import Fraction
from xml.etree.ElementTree import Element

from lickwright.errors import Spot, TheoryError
from lickwright.formats.incoming.file import Measure, ScoreFileError, XmlPart
from lickwright.formats.incoming.note_reading import NoteWords, written_length
from lickwright.lick.rhythm import bar_length
from lickwright.score import STRAIGHT, Swing
from lickwright.theory import (
    DIATONIC_FIFTHS,
    LETTERS,
    Key,
    NoteName,
    Pitch,
    name_above,
    pitch_from_midi,
    spell,
)

#: More bars than any part has that a line is taken from.
MAX_BARS = 2_000
MAX_BEATS = 64
#: Letters that a transposition by so many semitones travels where the file does not say.
_USUAL_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
_C_MAJOR = Key(NoteName("C"))


@dataclass(frozen=True, slots=True)
class NoteHead:
    """A note head or a rest in time; ``pitch`` sounds, and is ``None`` for a rest."""

    onset: Fraction
    duration: Fraction
    bar: int
    staff: int
    voice: str
    pitch: Pitch | None
    words: NoteWords

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class XmlBar:
    """A bar in time; ``onset`` and ``length`` in quarter notes."""

    onset: Fraction
    length: Fraction
    beats: int
    unit: int
    key: Key
    pickup: bool


@dataclass(slots=True)
class PartMusic:
    """Everything that was read from one part.

    Parameters
    ----------
    harmonies : chord symbols and when they stand.
    tempi : slowest and fastest marking of the first tempo mark, quarter notes a minute.
    swing : the first that is said.
    tunings : by staff, open strings with string 1 first.
    overlong, underfull : bars that hold more, and less, than their time signature.
    left_out : what a line has no room for, and how many of it.
    """

    part: XmlPart
    bars: list[XmlBar] = field(default_factory=list)
    heads: list[NoteHead] = field(default_factory=list)
    harmonies: list[tuple[Fraction, Element]] = field(default_factory=list)
    tempi: tuple[float, float] | None = None
    swing: Swing | None = None
    tunings: dict[int, tuple[Pitch, ...]] = field(default_factory=dict)
    capo: int = 0
    overlong: int = 0
    underfull: int = 0
    left_out: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True, slots=True)
class _Transposition:
    """From written to sounding: letters and semitones."""

    steps: int = 0
    semitones: int = 0

    def pitch(self, written: Pitch, key: Key) -> Pitch:
        if not self.steps and not self.semitones:
            return written
        name = name_above(written.name, self.steps % 7, self.semitones % 12)
        midi = written.midi + self.semitones
        if abs(name.alter) > 2:
            name = spell(midi % 12, key)
        return pitch_from_midi(midi, name)

    def key(self, written: Key) -> Key:
        tonic = name_above(written.tonic, self.steps % 7, self.semitones % 12)
        near = [NoteName(letter, alter) for letter in LETTERS for alter in (0, 1, -1)]
        for name in (tonic, *(name for name in near if name.pc == tonic.pc)):
            try:
                return Key(name, written.mode)
            except TheoryError:
                continue
        return _C_MAJOR


def read_part(part: XmlPart, where: Spot) -> PartMusic:
    """Read one part.

    Raises
    ------
    ScoreFileError
        With the bar, counted from the first whole one: a value that is no number, a pitch that
        does not exist, a bar that is too long for its time signature.
    """
    if len(part.measures) > MAX_BARS:
        raise ScoreFileError(
            f"the part has {len(part.measures)} bars", mend="Export a passage of it", where=where
        )
    reader = _PartReader(PartMusic(part), where)
    for index, measure in enumerate(part.measures):
        reader.measure(index, measure)
    return reader.music


class _PartReader:
    """Walks through the bars of a part with all that holds from one bar to the next."""

    def __init__(self, music: PartMusic, where: Spot) -> None:
        self.music = music
        self.where = where
        self.divisions = Fraction(1)
        self.time = (4, 4)
        self.written_key = _C_MAJOR
        self.moves = _Transposition()
        self.start = Fraction(0)  # of the bar
        self.now = Fraction(0)
        self.last = Fraction(0)  # where the note before began, for the notes of a chord
        self.index = 0

    def measure(self, index: int, measure: Measure) -> None:
        self.index = index
        self.now = self.start
        furthest = self.start
        first_head = len(self.music.heads)
        key: Key | None = None  # in force at the first note
        for element in measure.content:
            if key is None and element.tag == "note":
                key = self.moves.key(self.written_key)
            read = self._READERS.get(element.tag)
            if read is not None:
                read(self, element)
                furthest = max(furthest, self.now)
        beats, unit = self._beats(furthest - self.start)
        length = self._length(measure, furthest - self.start, bar_length(beats, unit))
        pickup = index == 0 and length < bar_length(beats, unit)
        if key is None:
            key = self.moves.key(self.written_key)
        self.music.bars.append(XmlBar(self.start, length, beats, unit, key, pickup))
        self.start += length
        self._fill_whole_rests(first_head, length)

    def _beats(self, content: Fraction) -> tuple[int, int]:
        """The time of a bar: the signature's, or one of its own where it holds more than that."""
        beats, unit = self.time
        if content <= bar_length(beats, unit):
            return beats, unit
        while unit < 16 and (content * unit / 4).denominator != 1:
            unit *= 2
        count = content * unit / 4
        if count.denominator != 1 or count > MAX_BEATS:
            raise self.error(
                f"holds {content} quarter notes where {beats}/{self.time[1]} asks for"
                f" {bar_length(beats, self.time[1])}",
                "Correct the bar, or its time signature",
            )
        self.music.overlong += 1
        return int(count), unit

    def _length(self, measure: Measure, content: Fraction, nominal: Fraction) -> Fraction:
        """How long a bar lasts: as long as its notes and rests; an empty one as its meter says."""
        if content in (0, nominal):
            return nominal
        if not measure.implicit and self.index > 0:
            self.music.underfull += 1
        return content

    def _fill_whole_rests(self, first: int, length: Fraction) -> None:
        """A rest marked for the whole bar fills it, whatever its duration says."""
        heads = self.music.heads
        for at in range(first, len(heads)):
            if heads[at].words.whole_bar:
                heads[at] = replace(heads[at], duration=min(heads[at].duration, length))

    def error(self, what: str, mend: str) -> ScoreFileError:
        bars = self.music.part.measures
        pickup = bool(bars) and (bars[0].implicit or bars[0].number == "0")
        number = self.index + (0 if pickup else 1)
        return ScoreFileError(f"bar {number} {what}", mend=mend, where=self.where)

    def number(self, element: Element | None, usual: int | None = None) -> Fraction:
        """A decimal number; its size is refused before it is worked out."""
        text = "" if element is None else (element.text or "").strip()
        if element is None and usual is not None:
            return Fraction(usual)
        if not re.fullmatch(r"[+-]?[0-9]{1,7}(?:\.[0-9]{1,6})?", text):
            tag = "a number" if element is None else f"<{element.tag}>"
            raise self.error(f"has '{text[:20]}' for {tag}", "Export the score once more")
        return Fraction(text)

    def whole(self, element: Element | None, usual: int | None = None) -> int:
        number = self.number(element, usual)
        if number.denominator != 1:
            raise self.error(f"has the fraction {number} where a whole number stands", "Correct it")
        return int(number)

    # --- what holds from here on ---------------------------------------------------------------

    def _attributes(self, element: Element) -> None:
        divisions = element.find("divisions")
        if divisions is not None:
            self.divisions = self.number(divisions)
            if self.divisions <= 0:
                raise self.error("has no divisions of a quarter note", "Export the score again")
        key, time = element.find("key"), element.find("time")
        if key is not None:
            self.written_key = self._key(key)
        if time is not None:
            self.time = self._time(time)
        transpose = element.find("transpose")
        if transpose is not None:
            self.moves = self._transposition(transpose)
        for details in element.findall("staff-details"):
            self._staff_details(details)
        if element.find("measure-style/measure-repeat") is not None:
            self.music.left_out["bar repeat"] += 1

    def _key(self, element: Element) -> Key:
        if element.find("fifths") is None:
            self.music.left_out["key signature without fifths"] += 1
            return self.written_key
        fifths = self.whole(element.find("fifths"))
        mode = (element.findtext("mode") or "major").strip().lower()
        mode = {"ionian": "major", "aeolian": "minor"}.get(mode, mode)
        line = fifths - DIATONIC_FIFTHS.get(mode, 0)
        if abs(fifths) > 7:
            raise self.error(f"has a signature of {abs(fifths)} accidentals", "Give 7 at most")
        tonic = NoteName("FCGDAEB"[(line + 1) % 7], (line + 1) // 7)
        return Key(tonic, mode if mode in DIATONIC_FIFTHS else "major")

    def _time(self, element: Element) -> tuple[int, int]:
        if element.find("senza-misura") is not None:
            self.music.left_out["passage without meter"] += 1
            return self.time
        sizes = []
        for beats, unit in zip(
            element.findall("beats"), element.findall("beat-type"), strict=False
        ):
            parts = (beats.text or "").split("+")
            if not all(re.fullmatch(r"\s*[0-9]{1,2}\s*", part) for part in parts):
                raise self.error(f"has '{(beats.text or '')[:20]}' beats", "Correct the time")
            sizes.append((sum(map(int, parts)), self.whole(unit)))
        finest = max((unit for _, unit in sizes), default=0)
        if finest not in (1, 2, 4, 8, 16) or any(finest % max(unit, 1) for _, unit in sizes):
            raise self.error("has a time signature that cannot be read", "Correct the time")
        beats_in_all = sum(count * finest // unit for count, unit in sizes if unit)
        if not 1 <= beats_in_all <= MAX_BEATS:
            raise self.error(f"has {beats_in_all} beats", "Correct the time")
        return beats_in_all, finest

    def _transposition(self, element: Element) -> _Transposition:
        chromatic = self.whole(element.find("chromatic"), 0)
        octaves = self.whole(element.find("octave-change"), 0)
        usual = _USUAL_STEPS[abs(chromatic) % 12] + 7 * (abs(chromatic) // 12)
        steps = self.whole(element.find("diatonic"), usual if chromatic >= 0 else -usual)
        if max(abs(chromatic), abs(steps)) > 48 or abs(octaves) > 4:
            raise self.error("has a transposition beyond any instrument", "Correct it")
        return _Transposition(steps + 7 * octaves, chromatic + 12 * octaves)

    def _staff_details(self, element: Element) -> None:
        capo = element.find("capo")
        if capo is not None:
            self.music.capo = self.whole(capo)
        strings = []
        for tuning in element.findall("staff-tuning"):
            line = tuning.get("line", "")
            pitch = self._pitch(
                tuning.find("tuning-step"),
                tuning.find("tuning-alter"),
                tuning.find("tuning-octave"),
            )
            strings.append((int(line) if re.fullmatch("[0-9]{1,2}", line) else 0, pitch))
        if strings:
            # Staff lines count from the bottom: the highest line is string 1.
            strings.sort(key=lambda string: -string[0])
            staff = element.get("number", "1")
            self.music.tunings[_staff_number(staff)] = tuple(pitch for _, pitch in strings)

    # --- what sounds ---------------------------------------------------------------------------

    def _note(self, element: Element) -> None:
        if element.find("grace") is not None:
            self.music.left_out["grace note"] += 1
            return
        duration = self._duration(element)
        onset = self.last if element.find("chord") is not None else self.now
        self.last = onset
        self.now = max(self.now, onset + duration)
        if element.find("cue") is not None:
            self.music.left_out["cue note"] += 1
            return
        if element.find("lyric") is not None:
            self.music.left_out["syllable"] += 1
        pitch = None
        if element.find("rest") is None:
            pitch = self._sounding(element)
        self.music.heads.append(
            NoteHead(
                onset=onset,
                duration=duration,
                bar=self.index,
                staff=_staff_number(element.findtext("staff") or "1"),
                voice=(element.findtext("voice") or "1").strip()[:20],
                pitch=pitch,
                words=NoteWords.of(element),
            )
        )

    def _duration(self, element: Element) -> Fraction:
        """The sounding length: what is written, where ``divisions`` are too coarse to say it."""
        written = written_length(element)
        if element.find("duration") is None and written is not None:
            return written
        played = self.number(element.find("duration"), 0) / self.divisions
        if played <= 0:
            raise self.error("has a note without duration", "Give it one, or make it a grace note")
        if written is not None and abs(written - played) < 1 / self.divisions:
            return written
        return played

    def _sounding(self, element: Element) -> Pitch:
        if element.find("pitch") is None:
            raise self.error("has a note without pitch", "Choose a part with pitched notes")
        pitch = self._pitch(*(element.find(f"pitch/{tag}") for tag in ("step", "alter", "octave")))
        return self.moves.pitch(pitch, self.written_key)

    def _pitch(self, step: Element | None, alter: Element | None, octave: Element | None) -> Pitch:
        letter = "" if step is None else (step.text or "").strip()
        alteration = self.number(alter, 0)
        if alteration.denominator != 1:
            raise self.error("has a quarter tone", "Write it as one of the twelve notes")
        height = self.whole(octave)
        if letter not in tuple(LETTERS) or abs(alteration) > 3 or not 0 <= height <= 9:
            raise self.error(
                f"has the pitch '{letter[:5]}{height}' altered by {alteration}",
                "Write a letter A to G and an octave 0 to 9",
            )
        return Pitch(NoteName(letter, int(alteration)), height)

    def _backup(self, element: Element) -> None:
        self.now = max(self.start, self.now - self._step(element))

    def _forward(self, element: Element) -> None:
        self.now += self._step(element)

    def _step(self, element: Element) -> Fraction:
        return abs(self.number(element.find("duration")) / self.divisions)

    def _harmony(self, element: Element) -> None:
        offset = self.number(element.find("offset"), 0) / self.divisions
        self.music.harmonies.append((self.now + offset, element))

    def _direction(self, element: Element) -> None:
        for sound in element.findall("sound"):
            self._sound(sound)
        metronome = element.find("direction-type/metronome/per-minute")
        if metronome is not None and self.music.tempi is not None:
            slow, target = self.music.tempi
            numbers = [float(n) for n in re.findall(r"\d{1,4}(?:\.\d+)?", metronome.text or "")]
            if slow == target and len(numbers) == 2 and 0 < numbers[0] <= numbers[1]:
                # A range, in whatever value counts: its ratio is what matters.
                self.music.tempi = (target * numbers[0] / numbers[1], target)

    def _sound(self, element: Element) -> None:
        tempo = element.get("tempo", "")
        if self.music.tempi is None and re.fullmatch(r"\d{1,4}(?:\.\d{1,6})?", tempo):
            self.music.tempi = (float(tempo), float(tempo))
        swing = element.find("swing")
        if swing is not None and self.music.swing is None:
            self.music.swing = _swing(swing)
        if any(element.get(jump) for jump in ("dacapo", "dalsegno", "tocoda", "fine")):
            self.music.left_out["jump"] += 1

    def _barline(self, element: Element) -> None:
        if element.find("repeat") is not None or element.find("ending") is not None:
            self.music.left_out["repeat sign"] += 1

    _READERS = {  # noqa: RUF012  a table of methods, never changed
        "attributes": _attributes,
        "note": _note,
        "backup": _backup,
        "forward": _forward,
        "harmony": _harmony,
        "direction": _direction,
        "sound": _sound,
        "barline": _barline,
    }


def _swing(element: Element) -> Swing | None:
    """How a ``swing`` element plays pairs; ``None`` where it says nothing that can be played."""
    if element.find("straight") is not None:
        return STRAIGHT
    long, short = (element.findtext(name, "").strip() for name in ("first", "second"))
    unit = (
        Fraction(1, 4) if element.findtext("swing-type", "").strip() == "16th" else Fraction(1, 2)
    )
    if not all(re.fullmatch("[1-9][0-9]{0,3}", number) for number in (long, short)):
        return None
    ratio = Fraction(int(long), int(short))
    return Swing(ratio, unit) if 1 <= ratio <= 3 else None


def _staff_number(text: str) -> int:
    return int(text) if re.fullmatch("[0-9]{1,2}", text.strip()) else 1
