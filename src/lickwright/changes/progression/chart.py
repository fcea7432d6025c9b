"""Progressions: bars, chords and keys, read from one line of text and printed back.

How changes are written
-----------------------
``Dm9 | G13 . | Cmaj9 A7b9``

* ``|`` parts the bars; a new line does too, and ``||`` is the same as ``|``.
* The words of a bar share its length equally.  A dot is one more share of the chord before it:
  in 4/4, ``Dm9 . . G13`` is three beats of Dm9 and one of G13.  A dot that begins a bar lets the
  chord of the bar before sound on, as one long chord.
* ``%`` alone in a bar plays the bar before once more.  Where that bar is one chord, the chord holds
  on: to a lick that is carried it is one long chord (:func:`held_on`).
* ``|: Dm9 | G13 :|`` is played twice, ``|: Dm9 | G13 :| x3`` three times.  Without its ``|:`` a
  repeat goes back to the repeat before it, or to the start.
* Brackets at the start of a bar change the time or the key from there on: ``(3/4)``,
  ``(Bb lydian)``.
* ``N.C.`` is no chord: the band is silent there, and a line is heard against the chord before it
  (against the first chord where none came before).  :attr:`Changes.silences` says when.
* ``Am7/G`` has its bass after the slash.  Roman numerals stand for chords of the key:
  ``iim9 | V13 | bVII``, and ``V7/ii`` is the V7 of its ii (see
  :mod:`lickwright.changes.progression.numerals`).

Time is exact ``Fraction`` quarter notes from the first bar line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from lickwright.changes.progression.numerals import Numeral, chord_of, parse_numeral
from lickwright.errors import RhythmError, TheoryError
from lickwright.lick.rhythm import bar_length
from lickwright.theory import Chord, Key, parse_chord, parse_key

#: More than any lesson needs; a typing slip such as ``x200`` is told, not unfolded.
MAX_BARS = 512
MAX_SHARES = 32
#: As players write that no chord sounds.
NO_CHORD = "N.C."

Time = tuple[int, int]
#: From and to, in quarter notes.
Stretch = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class Share:
    """One word of a bar: a chord, a numeral with the chord it stands for, ``N.C.``, or a dot."""

    chord: Chord | None = None
    numeral: Numeral | None = None
    silent: bool = False

    def __str__(self) -> str:
        if self.silent:
            return NO_CHORD
        if self.numeral is not None:
            return str(self.numeral)
        return "." if self.chord is None else str(self.chord)


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """A bar as it is written.

    Parameters
    ----------
    shares : its words; empty for ``%``.
    key, time : a change of key or time that stands at its start.
    opens : whether a repeat begins here.
    plays : how often a repeat that ends here is played in all; 0 where none ends.
    """

    shares: tuple[Share, ...]
    key: Key | None = None
    time: Time | None = None
    opens: bool = False
    plays: int = 0


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar as it is played; ``written`` is its number in the text, ``number`` in the music."""

    number: int
    written: int
    onset: Fraction
    length: Fraction
    beats: int
    unit: int
    key: Key | None


@dataclass(frozen=True, slots=True)
class PlacedChord:
    """A chord in time: in which played bar it begins, how long it lasts, in which key.

    ``held`` where a ``%`` holds on the chord before.
    """

    chord: Chord
    onset: Fraction
    length: Fraction
    bar: int
    key: Key | None
    numeral: Numeral | None = None
    held: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class Changes:
    """A progression: as it is written, and as it is played with its repeats unfolded.

    ``key`` and ``time`` are those it starts in.  ``str()`` gives the text, and reading that text
    in the same key and time gives an equal value.  A chord lasts on through a silence that follows
    it; ``silences`` are the stretches, from and to, in which no chord sounds.
    """

    written: tuple[WrittenBar, ...]
    key: Key | None
    time: Time
    bars: tuple[PlayedBar, ...]
    chords: tuple[PlacedChord, ...]
    silences: tuple[Stretch, ...] = ()

    @property
    def length(self) -> Fraction:
        """Quarter notes from the first bar line to the last."""
        return self.bars[-1].onset + self.bars[-1].length

    def __str__(self) -> str:
        return print_bars(self.written)


def parse_changes(text: str, key: Key | str | None = None, time: Time | str = (4, 4)) -> Changes:
    """Read a progression.

    Parameters
    ----------
    text : the changes, written as the module says.
    key : the key they start in; Roman numerals need one.
    time : the time signature they start in, such as ``"4/4"``.

    Raises
    ------
    TheoryError
        For a chord, numeral or key that cannot be read, with the number of its bar.
    RhythmError
        For bars, repeats or times that make no sense, with the number of the bar.
    """
    start_key = parse_key(key) if isinstance(key, str) else key
    start_time = parse_time(time) if isinstance(time, str) else time
    return unfold(tuple(_written_bars(text, start_key)), start_key, start_time)


def parse_time(text: str) -> Time:
    """Read a time signature such as ``7/8``."""
    match = re.fullmatch(r"\s*(\d{1,2})\s*/\s*(\d{1,2})\s*", text)
    if match is None or int(match[1]) == 0 or int(match[2]) not in (1, 2, 4, 8, 16):
        raise RhythmError(
            f"'{text}' is not a time signature", mend="Write beats/unit, such as 4/4 or 7/8"
        )
    return int(match[1]), int(match[2])


# --- reading ---------------------------------------------------------------------------------

_TOKEN = re.compile(
    r"(?P<newline>\n)"
    r"|(?P<close>:\|{1,2}:?)(?:[^\S\n]*[xX×](?P<plays>\d{1,6})(?![^\s|]))?"
    r"|(?P<open>\|{1,2}:)"
    r"|(?P<line>\|{1,2}(?!\|))"
    r"|(?P<mark>\([^()\n|]*\)(?=[\s|]|$))"
    r"|(?P<word>(?:(?!:\|)[^\s|])+)"
    r"|(?P<space>[^\S\n]+)"
)


@dataclass(slots=True)
class _DraftBar:
    """The bar being read."""

    number: int
    shares: list[Share]
    repeats_bar: bool = False
    key: Key | None = None
    time: Time | None = None
    opens: bool = False

    @property
    def has_music(self) -> bool:
        return bool(self.shares) or self.repeats_bar

    @property
    def is_blank(self) -> bool:
        marked = self.key is not None or self.time is not None
        return not (self.has_music or self.opens or marked)

    def finish(self, plays: int = 0) -> WrittenBar:
        if not self.has_music:
            raise RhythmError(
                f"bar {self.number} of the changes has no chord",
                mend="Write a chord there, . to hold the chord before or % to repeat the bar",
            )
        if self.repeats_bar and self.shares:
            raise RhythmError(
                f"bar {self.number} of the changes has % beside other chords",
                mend="Leave % alone in its bar, or write the chords out",
            )
        if len(self.shares) > MAX_SHARES:
            raise RhythmError(
                f"bar {self.number} of the changes has {len(self.shares)} shares",
                mend=f"Give it {MAX_SHARES} at most",
            )
        return WrittenBar(tuple(self.shares), self.key, self.time, self.opens, plays)


def _written_bars(text: str, key: Key | None) -> Iterator[WrittenBar]:
    """The bars of a text in order; ``key`` is the key that rules where it starts."""
    draft = _DraftBar(1, [])
    fresh_line = True  # nothing but bar lines so far on this line of text
    in_repeat = False
    for token in _tokens(text):
        kind = token.lastgroup if token.lastgroup != "plays" else "close"
        if kind == "space":
            continue
        if kind == "newline":
            if draft.has_music:
                yield draft.finish()
                draft = _DraftBar(draft.number + 1, [])
            fresh_line = True
        elif kind == "line":
            if not (draft.is_blank and fresh_line):
                yield draft.finish()
                draft = _DraftBar(draft.number + 1, [])
            fresh_line = False
        elif kind == "open":
            if draft.has_music:
                yield draft.finish()
                draft = _DraftBar(draft.number + 1, [])
            if in_repeat or not draft.is_blank:
                raise RhythmError(
                    f"a repeat begins inside another at bar {draft.number} of the changes",
                    mend="End the first with :| before you begin the next",
                )
            draft.opens = in_repeat = True
            fresh_line = False
        elif kind == "close":
            yield draft.finish(_plays(token["plays"], draft.number))
            draft = _DraftBar(draft.number + 1, [], opens=token["close"].endswith("|:"))
            in_repeat = draft.opens
            fresh_line = True  # the bar line is drawn already
        else:
            fresh_line = False
            if kind == "mark":
                key = _read_mark(token[0][1:-1].strip(), draft, key)
            elif token[0] == "%":
                draft.repeats_bar = True
            else:
                draft.shares.append(_read_share(token[0], draft.number, key))
    if draft.has_music or draft.key is not None or draft.time is not None:
        yield draft.finish()
    if in_repeat:
        raise RhythmError("a repeat begins in the changes but never ends", mend="Write :| there")


def _tokens(text: str) -> Iterator[re.Match[str]]:
    place = 0
    while place < len(text):
        token = _TOKEN.match(text, place)
        if token is None:
            raise RhythmError(
                f"the changes cannot be read at '{text[place : place + 8]}'",
                mend="Part the bars with one | each",
            )
        yield token
        place = token.end()


def _plays(text: str | None, bar: int) -> int:
    plays = 2 if text is None else int(text)
    if not 2 <= plays <= MAX_BARS:
        raise RhythmError(
            f"bar {bar} of the changes ends a repeat that is played {plays} times",
            mend="Write x2, x3 ... after :|, or take the repeat away",
        )
    return plays


def _read_mark(text: str, draft: _DraftBar, key: Key | None) -> Key | None:
    """Set the draft's time or key from a bracket; gives the key that rules from here on."""
    if draft.has_music:
        raise RhythmError(
            f"bar {draft.number} of the changes has ({text}) after its first chord",
            mend="Write a change of time or key at the start of a bar",
        )
    try:
        if re.match(r"\d", text):
            draft.time = parse_time(text)
            return key
        draft.key = parse_key(text)
        return draft.key
    except (TheoryError, RhythmError) as error:
        raise _in_bar(error, draft.number) from error


def _read_share(word: str, bar: int, key: Key | None) -> Share:
    if word == ".":
        return Share()
    if re.fullmatch(r"N\.?C\.?", word):
        return Share(silent=True)
    try:
        numeral = parse_numeral(word)
        if numeral is None:
            return Share(parse_chord(word))
        if key is None:
            raise TheoryError(
                f"the numeral '{word}' has no key to stand in",
                mend="Give the key, or write (C major) at the start of the bar",
            )
        chord, numeral = chord_of(numeral, key)
    except TheoryError as error:
        raise _in_bar(error, bar) from error
    return Share(chord, numeral)


def _in_bar(error: TheoryError | RhythmError, bar: int) -> TheoryError | RhythmError:
    return type(error)(f"bar {bar} of the changes: {error.what}", mend=error.mend)


# --- unfolding -------------------------------------------------------------------------------


def unfold(written: tuple[WrittenBar, ...], key: Key | None, time: Time) -> Changes:
    """The changes that some written bars make, from a first key and time.

    Raises
    ------
    RhythmError
        For no bars at all or too many, no chord at all, a hold or a repeated bar with nothing
        before it.
    """
    if not written:
        raise RhythmError("the changes are empty", mend="Write chords, such as: Dm9 | G13 | Cmaj9")
    rules: list[tuple[Key | None, Time]] = []
    now_key, now_time = key, time
    for bar in written:
        now_key = bar.key or now_key
        now_time = bar.time or now_time
        rules.append((now_key, now_time))

    bars: list[PlayedBar] = []
    chords: list[PlacedChord] = []
    silences: list[Stretch] = []
    onset = Fraction(0)
    for index in _play_order(written):
        rule_key, (beats, unit) = rules[index]
        length = bar_length(beats, unit)
        number = len(bars) + 1
        bars.append(PlayedBar(number, index + 1, onset, length, beats, unit, rule_key))
        shares = _sounding_shares(written, index)
        step = length / len(shares)
        for place, share in enumerate(shares):
            at = onset + place * step
            silent = share.silent or (share.chord is None and _ends_at(silences, at))
            if silent:
                begins = silences.pop()[0] if _ends_at(silences, at) else at
                silences.append((begins, at + step))
            if share.chord is not None:
                held = (
                    not written[index].shares
                    and written[index].key is None
                    and _is_one_chord(shares)
                    and bool(chords)
                    and chords[-1].chord == share.chord
                )
                chords.append(
                    PlacedChord(
                        share.chord,
                        at,
                        step,
                        number,
                        rule_key,
                        share.numeral,
                        held,
                    )
                )
                if len(chords) == 1:
                    chords = [_from_the_start(chords[0], bars[0])]
            elif chords:
                chords[-1] = replace(chords[-1], length=chords[-1].length + step)
            elif not silent:
                raise RhythmError(
                    "bar 1 of the changes begins with a dot, but no chord came before",
                    mend="Begin with a chord",
                )
        onset += length
    if not chords:
        raise RhythmError(
            f"the changes have {NO_CHORD} alone", mend="Write a chord for the line to be heard by"
        )
    return Changes(written, key, time, tuple(bars), tuple(chords), tuple(silences))


def _ends_at(silences: list[Stretch], moment: Fraction) -> bool:
    return bool(silences) and silences[-1][1] == moment


def _from_the_start(first: PlacedChord, bar: PlayedBar) -> PlacedChord:
    """The first chord from the first bar line on, where a silence stands before it."""
    if not first.onset:
        return first
    return replace(first, onset=Fraction(0), length=first.end, bar=bar.number, key=bar.key)


def _is_one_chord(shares: tuple[Share, ...]) -> bool:
    """Whether one chord fills a bar from its first share to its last."""
    return shares[0].chord is not None and all(
        share.chord is None and not share.silent for share in shares[1:]
    )


def held_on(changes: Changes) -> Changes:
    """The changes with every chord that a ``%`` holds on as one long chord.

    Examples
    --------
    >>> [int(placed.length) for placed in held_on(parse_changes("Dm9 | % | G13 | G13")).chords]
    [8, 4, 4]
    """
    chords: list[PlacedChord] = []
    for placed in changes.chords:
        if placed.held and chords:
            chords[-1] = replace(chords[-1], length=chords[-1].length + placed.length)
        else:
            chords.append(placed)
    return replace(changes, chords=tuple(chords))


def _play_order(written: tuple[WrittenBar, ...]) -> list[int]:
    """Indices of the written bars in the order they are played."""
    order: list[int] = []
    start = 0
    for index, bar in enumerate(written):
        if bar.opens:
            start = index
        order.append(index)
        for _ in range(min(bar.plays - 1, MAX_BARS)):
            order.extend(range(start, index + 1))
        if bar.plays:
            start = index + 1
        if len(order) > MAX_BARS:
            raise RhythmError(
                f"the changes last more than {MAX_BARS} bars", mend="Play the repeats less often"
            )
    return order


def _sounding_shares(written: tuple[WrittenBar, ...], index: int) -> tuple[Share, ...]:
    """The words of a bar; those of the last written-out bar before it for ``%``."""
    for bar in reversed(written[: index + 1]):
        if bar.shares:
            return bar.shares
    raise RhythmError(
        f"bar {index + 1} of the changes repeats a bar, but none came before",
        mend="Begin with a chord",
    )


# --- printing --------------------------------------------------------------------------------


def print_bars(written: tuple[WrittenBar, ...]) -> str:
    """The text of some written bars."""
    words: list[str] = []
    for index, bar in enumerate(written):
        drawn = index == 0 or written[index - 1].plays > 0
        if bar.opens:
            words.append("|:")
        elif not drawn:
            words.append("|")
        if bar.time is not None:
            words.append(f"({bar.time[0]}/{bar.time[1]})")
        if bar.key is not None:
            words.append(f"({bar.key})")
        words += [str(share) for share in bar.shares] or ["%"]
        if bar.plays:
            words.append(":|" if bar.plays == 2 else f":| x{bar.plays}")
    return " ".join(words)
