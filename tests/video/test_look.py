"""May anybody read it?  Contrast over any footage, and triads told apart without colour."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from PIL import Image

from lickwright.drawing.looks import INK, PAPER, QUIET
from lickwright.errors import OutputError
from lickwright.neck.instrument import Guitar, Position
from lickwright.video.frames import palette
from lickwright.video.frames.clock import Clock
from lickwright.video.frames.pixels import Album, Drawing
from lickwright.video.overlay import strip_of
from lickwright.video.panels.neck import NeckPanel
from lickwright.video.panels.neck_layout import FilmNeck, window_of
from lickwright.video.panels.triad_marks import SCREEN_MARKS, check_voice, mark

# Machado, Oliveira & Fernandes 2009, "A Physiologically-based Model for Simulation of Color
# Vision Deficiency", severity 1.0; linear RGB; from memory.
DEFICIENCIES = {
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def linear(colour: tuple[float, ...]) -> np.ndarray:
    """Linear light of 0-255 sRGB (IEC 61966-2-1)."""
    part = np.array(colour) / 255
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def luminance(light: np.ndarray) -> float:
    return float(light @ (0.2126, 0.7152, 0.0722))


def contrast(first: np.ndarray, second: np.ndarray) -> float:
    """W3C WCAG 2.2, definition of contrast ratio."""
    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def over(colour: str, footage: int) -> np.ndarray:
    """A panel's colour over footage."""
    part = np.array(palette.rgb(colour)) * palette.PANEL_ALPHA
    return linear(tuple(part + footage * (1 - palette.PANEL_ALPHA)))


@pytest.mark.parametrize("footage", [0, 128, 255])
def test_words_keep_their_contrast_over_any_footage(footage):
    paper = over(PAPER, footage)
    for colour in (INK, palette.SOFT):
        assert contrast(linear(palette.rgb(colour)), paper) >= 7.0
    assert contrast(linear(palette.rgb(QUIET)), paper) >= 3.0
    for size in SCREEN_MARKS.voices:
        assert contrast(linear(palette.rgb(size.look.colour)), paper) >= 4.5


def test_what_is_lit_stands_out_by_its_rim_and_reads_as_well():
    lamp, ink = linear(palette.rgb(palette.LAMP)), linear(palette.rgb(INK))
    assert contrast(lamp, ink) >= 7.0
    for ground in (PAPER, palette.BOARD):
        assert contrast(ink, linear(palette.rgb(ground))) >= 7.0


@pytest.mark.parametrize("kind", DEFICIENCIES)
def test_the_lamp_is_still_a_light_one_for_every_eye(kind):
    eye = np.array(DEFICIENCIES[kind])
    lamp, ink, paper = (
        np.clip(eye @ linear(palette.rgb(colour)), 0, 1) for colour in (palette.LAMP, INK, PAPER)
    )
    assert contrast(lamp, ink) >= 6.0
    # The blue part tells it from paper, or, without blue cones, the lightness does.
    assert np.abs(np.cbrt(lamp) - np.cbrt(paper)).max() > 0.2


def drawn(voices: tuple[int, ...], paint: str | None = None) -> np.ndarray:
    """A mark's lightness, 0-255, every triad's colour replaced by ``paint`` if one is given."""
    shapes, _ = mark(60, 60, 36, voices, "")
    for size in SCREEN_MARKS.voices:
        shapes = shapes.replace(size.look.colour, paint or size.look.colour)
    album = Album()
    sprite = album.add(Drawing(120, 120, shapes))
    album.develop()
    ground = Image.new("RGBA", (120, 120), (*palette.rgb(palette.BOARD), 255))
    ground.alpha_composite(sprite.image)
    return np.asarray(ground.convert("L")).astype(int)


@pytest.mark.parametrize("pair", list(combinations(range(len(SCREEN_MARKS.voices)), 2)))
def test_triads_differ_in_shape_and_filling_alone(pair):
    first, second = (drawn((voice,), "#000000") for voice in pair)
    touched = (first < 200) | (second < 200)
    assert (np.abs(first - second)[touched] > 100).mean() > 1 / 8


def test_a_note_of_two_triads_looks_like_neither():
    both = drawn((0, 1), "#000000")
    for voice in (0, 1):
        alone = drawn((voice,), "#000000")
        assert (np.abs(both - alone) > 100).sum() > 300


def test_a_fifth_triad_is_refused():
    with pytest.raises(OutputError) as caught:
        check_voice(len(SCREEN_MARKS.voices))
    assert caught.value.mend


# --- the neck --------------------------------------------------------------------------------


def board_of(guitar: Guitar, *frets: int) -> FilmNeck:
    window = window_of((Position(1, fret) for fret in frets), guitar)
    return FilmNeck(guitar, window, 600, 350, 90, 1.0)


def test_a_left_handed_neck_is_the_mirror_image():
    right, left = board_of(Guitar(), 0, 7, 9), board_of(Guitar(left_handed=True), 0, 7, 9)
    for fret in (0, 6, 7, 8, 9):
        place = Position(3, fret)
        assert left.x(place) == pytest.approx(600 - right.x(place))
        assert left.string_y(3) == right.string_y(3)


def test_frets_narrow_towards_the_bridge_as_on_a_neck():
    """Each fret is 2 ** (-1/12) of the one before (equal temperament)."""
    board = board_of(Guitar(), 5, 9)
    wires = [board.x(Position(1, fret)) for fret in range(5, 10)]
    widths = np.diff(wires)
    assert widths[1:] / widths[:-1] == pytest.approx(2 ** (-1 / 12))


@pytest.mark.parametrize("places", [(0,), (1, 2), (5, 9), (0, 12), (23, 24), (1, 24)])
def test_the_window_holds_its_places_and_stays_on_the_neck(places):
    guitar = Guitar()
    window = window_of((Position(1, fret) for fret in places), guitar)
    assert all(window.holds(Position(1, fret)) for fret in places)
    assert 1 <= window.first < window.last <= guitar.last_fret


def test_marks_of_neighbours_do_not_touch(demo_passage):
    for index in range(5):
        neck: NeckPanel = strip_of(Clock(demo_passage(index)), Album()).neck
        for scene, board in zip(neck.scenes, neck.boards, strict=True):
            for first, second in combinations(scene.places(), 2):
                across = board.string_y(first.string) - board.string_y(second.string)
                along = board.x(first) - board.x(second)
                assert max(abs(across), abs(along)) >= 1.9 * board.mark_size
