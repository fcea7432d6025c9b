"""One root at a time: what the tones above it are called.  Common practice, no source."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.theory.degree import degree_semitones
from lickwright.theory.hearing.naming import TENSIONS, is_grip, name_on_root
from lickwright.theory.pitch import mask_of, pitch_classes
from lickwright.theory.symbols.kinds import VOCABULARY

MASKS = st.integers(1, 4095)


@pytest.mark.parametrize(
    ("tones", "suffix", "missing"),
    [
        ([0, 4, 7], "", ()),
        ([0, 4, 10], "7", ("5",)),
        ([0, 4, 9, 10], "13", ("5", "9")),
        ([0, 3, 4, 7, 10], "7#9", ()),
        ([0, 4, 6, 10], "7b5", ()),
        ([0, 4, 6, 11], "maj7#11", ("5",)),
        ([0, 4, 8, 10], "7#5", ()),
        ([0, 3, 6, 9], "dim7", ()),
        ([0, 5, 7, 10], "7sus4", ()),
        ([0, 2, 4, 9], "6/9", ("5",)),
        ([0, 4, 7, 9], "6", ()),
        ([0, 1, 3, 4, 6, 8, 10], "7alt", ()),
        ([4, 7, 10], "7", ("1",)),
    ],
)
def test_names(tones: list[int], suffix: str, missing: tuple[str, ...]) -> None:
    naming = name_on_root(mask_of(tones))
    assert naming is not None
    assert (naming.kind.suffix, naming.missing) == (suffix, missing)


def test_both_sevenths_are_no_chord() -> None:
    assert name_on_root(mask_of([0, 4, 7, 10, 11])) is None


def test_a_root_is_understood_only_from_both_guide_tones() -> None:
    assert name_on_root(mask_of([4, 10])) is not None
    assert name_on_root(mask_of([4, 7])) is None
    assert name_on_root(mask_of([7, 10])) is None


@pytest.mark.parametrize(
    "tones",
    [[0, 1, 4, 7], [0, 1, 2, 4, 7, 10], [0, 4, 7, 8, 9, 10], [0, 4, 5, 6, 7, 11], [0, 1, 2, 3]],
    ids=["b9 on a triad", "two ninths", "two thirteenths", "two elevenths", "cluster"],
)
def test_what_no_player_would_say_is_not_common(tones: list[int]) -> None:
    naming = name_on_root(mask_of(tones))
    assert naming is not None
    assert naming.distance is None


@settings(deadline=None)
@given(MASKS)
def test_a_name_accounts_for_every_tone_once(mask: int) -> None:
    naming = name_on_root(mask)
    if naming is None:
        return
    assert [degree_semitones(name) for name in naming.degrees] == list(pitch_classes(mask))
    assert set(naming.degrees) | set(naming.missing) == set(naming.kind.degrees)
    assert not set(naming.degrees) & set(naming.missing)
    assert set(naming.tensions) == TENSIONS & set(naming.degrees)


@pytest.mark.parametrize("kind", VOCABULARY, ids=lambda kind: kind.suffix or "major")
def test_every_row_of_the_vocabulary_is_common_under_some_name(kind: object) -> None:
    naming = name_on_root(kind.mask)  # type: ignore[attr-defined]
    assert naming is not None
    assert naming.distance is not None


def test_a_grip_is_complete_and_small() -> None:
    ninth, bare, thirteenth = (
        name_on_root(mask_of(tones))
        for tones in ([0, 2, 4, 7, 10], [0, 4, 10], [0, 2, 4, 6, 7, 9, 10])
    )
    assert ninth is not None
    assert bare is not None
    assert thirteenth is not None
    assert is_grip(ninth)
    assert not is_grip(bare)
    assert not is_grip(thirteenth)
