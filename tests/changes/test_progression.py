"""Changes in text: what they mean in time, printing them back, and what is wrong with bad ones."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.changes.progression.chart import MAX_BARS, Share, WrittenBar, parse_changes, unfold
from lickwright.errors import RhythmError, TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import parse_key

C_MAJOR = parse_key("C major")


def spans(text: str, key: str | None = None, time: str = "4/4") -> list[tuple[str, float, float]]:
    chords = parse_changes(text, key, time).chords
    return [(str(p.chord), float(p.onset), float(p.length)) for p in chords]


def test_words_share_their_bar_and_a_dot_adds_a_share():
    assert spans("Dm9 | G13 . | Cmaj9 A7b9 | Dm9 . . G13") == [
        ("Dm9", 0, 4),
        ("G13", 4, 4),
        ("Cmaj9", 8, 2),
        ("A7b9", 10, 2),
        ("Dm9", 12, 3),
        ("G13", 15, 1),
    ]


def test_shares_are_exact_in_odd_times():
    chords = parse_changes("C F G", time="7/8").chords
    assert [p.length for p in chords] == [Fraction(7, 6)] * 3


def test_a_dot_at_the_start_of_a_bar_holds_the_chord_over_the_bar_line():
    assert spans("Dm9 | . G7 | . | C") == [("Dm9", 0, 6), ("G7", 6, 6), ("C", 12, 4)]


def test_percent_plays_the_bar_before_again():
    assert spans("C F | % | %") == [
        (chord, 4 * bar + 2 * half, 2) for bar in range(3) for half, chord in enumerate("CF")
    ]


def test_repeats_unfold_and_remember_where_they_were_written():
    changes = parse_changes("|: Dm7 | G7 :| x3 Cmaj7")
    assert [str(p.chord) for p in changes.chords] == ["Dm7", "G7"] * 3 + ["Cmaj7"]
    assert [bar.written for bar in changes.bars] == [1, 2] * 3 + [3]
    assert [bar.number for bar in changes.bars] == list(range(1, 8))


def test_a_repeat_without_its_beginning_goes_back_to_the_start_or_the_repeat_before():
    assert [c for c, _, _ in spans("C | F :|")] == ["C", "F", "C", "F"]
    assert [c for c, _, _ in spans("|: C :| D | E :|")] == ["C", "C", "D", "E", "D", "E"]


def test_time_changes_move_the_bar_lines():
    changes = parse_changes("C | (3/4) F | (7/8) G | %", time="4/4")
    assert [bar.length for bar in changes.bars] == [4, 3, Fraction(7, 2), Fraction(7, 2)]
    assert changes.length == 14


def test_keys_rule_their_section_and_come_back_in_a_repeat():
    changes = parse_changes("|: iim7 | (Eb) iim7 :|", key="C major")
    assert [str(p.chord) for p in changes.chords] == ["Dm7", "Fm7", "Dm7", "Fm7"]
    assert [str(p.key) for p in changes.chords] == ["C major", "Eb major"] * 2


def test_lines_of_text_are_bars_too():
    one = parse_changes("Dm9 | G13 | Cmaj9 | A7b9")
    for text in (
        "Dm9 | G13\nCmaj9 | A7b9",
        "| Dm9 | G13 |\n| Cmaj9 | A7b9 ||\n",
        "\nDm9|G13||Cmaj9|A7b9",
    ):
        assert parse_changes(text) == one


@pytest.mark.parametrize(
    "text",
    [
        "Dm9 | G13 . | Cmaj9 | A7b9",
        "|: iim9 | V13 :| x3 (3/4) Imaj9 . IVmaj7 | (D dorian) im9 | bVII | %",
        "(6/8) (A minor) Am7 . Fmaj7 | . E7b9 |: Am7/G | % :|",
        "V7/ii | iim7b5/Ab",
    ],
)
def test_house_text_prints_as_it_was_written(text):
    assert str(parse_changes(text, C_MAJOR)) == text


CHORDS = st.sampled_from(["Dm9", "G13", "Cmaj9", "A7b9", "F#m7b5", "C6/9", "Am7/G", "Bbmaj7#11"])
SHARES = st.lists(
    st.one_of(st.just(Share()), CHORDS.map(lambda text: Share(parse_chord(text)))),
    min_size=1,
    max_size=5,
)
KEYS = st.sampled_from(["C major", "D dorian", "Bb lydian", "F# harmonic minor"]).map(parse_key)


@st.composite
def written_bars(draw: st.DrawFn) -> tuple[WrittenBar, ...]:
    bars = [WrittenBar((Share(parse_chord("Em7")),))]
    open_repeat = False
    for _ in range(draw(st.integers(0, 6))):
        opens = not open_repeat and draw(st.booleans())
        open_repeat = open_repeat or opens
        plays = draw(st.sampled_from([0, 2, 3])) if open_repeat else 0
        open_repeat = open_repeat and not plays
        bars.append(
            WrittenBar(
                tuple(draw(st.one_of(SHARES, st.just([])))),
                draw(st.one_of(st.none(), KEYS)),
                draw(st.sampled_from([None, (3, 4), (7, 8), (4, 4)])),
                opens,
                plays,
            )
        )
    if open_repeat:
        bars.append(WrittenBar((Share(parse_chord("E7")),), plays=2))
    return tuple(bars)


@given(written_bars(), st.one_of(st.none(), KEYS))
def test_reading_what_was_printed_gives_the_same_changes(bars, key):
    changes = unfold(bars, key, (4, 4))
    assert parse_changes(str(changes), key, "4/4") == changes


@given(written_bars())
def test_the_chords_fill_the_bars_without_gap_or_overlap(bars):
    changes = unfold(bars, None, (4, 4))
    now = Fraction(0)
    for placed in changes.chords:
        assert placed.onset == now
        assert placed.length > 0
        now = placed.end
    assert now == changes.length == sum(bar.length for bar in changes.bars)


@pytest.mark.parametrize(
    ("text", "error", "said"),
    [
        ("", RhythmError, "the changes are empty"),
        (" | ", RhythmError, "the changes are empty"),
        ("Dm9 | | G13", RhythmError, "bar 2 of the changes has no chord"),
        ("Dm9 | Gmaj99", TheoryError, "bar 2 of the changes: 'Gmaj99' is not a chord"),
        ("|: C", RhythmError, "never ends"),
        ("|: C |: D :|", RhythmError, "inside another at bar 2"),
        ("C :| x1", RhythmError, "played 1 times"),
        ("C :| x9999", RhythmError, "played 9999 times"),
        ("|: C | D | E :| x400", RhythmError, f"more than {MAX_BARS} bars"),
        (". C", RhythmError, "begins with a dot"),
        ("% | C", RhythmError, "repeats a bar, but none came before"),
        ("C | % D", RhythmError, "bar 2 of the changes has % beside other chords"),
        ("(3/4) | C", RhythmError, "bar 1 of the changes has no chord"),
        ("C (3/4) D", RhythmError, "after its first chord"),
        ("C ||| D", RhythmError, "cannot be read at '||| D'"),
        ("(5/3) C", RhythmError, "bar 1 of the changes: '5/3' is not a time signature"),
        ("(C dorain) C", TheoryError, "bar 1 of the changes"),
        ("iim9", TheoryError, "has no key to stand in"),
        ("C " * 40, RhythmError, "40 shares"),
    ],
)
def test_bad_changes_are_told_with_their_bar(text, error, said):
    with pytest.raises(error) as caught:
        parse_changes(text)
    assert said in caught.value.what
    assert caught.value.mend


def test_a_misspelt_chord_gets_the_nearest_one():
    with pytest.raises(TheoryError) as caught:
        parse_changes("Dm9 | Gmajj9")
    assert "Gmaj9" in caught.value.mend
