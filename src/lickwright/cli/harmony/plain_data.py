"""What do the harmony commands print for machines?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lickwright.theory.finding import ChordPair, ScalePair, TriadGroup
    from lickwright.theory.hearing import OverChord, Reading


def reading_data(reading: Reading) -> dict[str, Any]:
    from lickwright.theory.hearing import written_name

    return {
        "symbol": reading.symbol,
        "written": written_name(reading),
        "named": reading.named,
        "root": str(reading.root),
        "bass": str(reading.bass),
        "notes": [str(note) for note in reading.notes],
        "degrees": list(reading.degrees),
        "missing": list(reading.missing),
        "tensions": list(reading.tensions),
        "guide_tones": list(reading.guide_tones),
        "clashes": list(reading.clashes),
        "root_sounds": reading.root_sounds,
        "diatonic": reading.diatonic,
        "strength": round(reading.strength, 4),
        "why": [
            {"name": term.name, "points": round(term.points, 2), "words": term.words}
            for term in reading.why
        ],
        "also": list(reading.also),
        "beside": list(reading.beside),
    }


def group_data(group: TriadGroup) -> dict[str, Any]:
    return {
        "triads": [str(triad) for triad in group.triads],
        "place": group.place,
        "completeness": round(group.completeness, 4),
        "colours": [list(colour) for colour in group.colours],
        "added": list(group.added),
        "shared": [str(note) for note in group.shared],
        "step_semitones": group.step_semitones,
        "without_root": group.without_root,
        "reading": reading_data(group.reading),
    }


def pair_data(pair: ScalePair) -> dict[str, Any]:
    return {
        "triads": [str(pair.first), str(pair.second)],
        "notes": [str(note) for note in pair.notes],
        "complement": [str(note) for note in pair.complement],
        "shared": [str(note) for note in pair.shared],
        "step_semitones": pair.step_semitones,
        "over": str(pair.reading.bass),
        "reading": reading_data(pair.reading),
    }


def over_data(heard: OverChord) -> dict[str, Any]:
    return {
        "chord": str(heard.chord),
        "notes": [str(note) for note in heard.notes],
        "degrees": list(heard.degrees),
        "states": list(heard.states),
        "colours": list(heard.colours),
        "leaves": list(heard.leaves),
        "rubs": [
            {
                "note": str(rub.note),
                "degree": rub.degree,
                "against": rub.against,
                "contradicts": rub.hard,
            }
            for rub in heard.rubs
        ],
    }


def over_pair_data(pair: ChordPair) -> dict[str, Any]:
    return {
        "triads": [str(triad) for triad in pair.triads],
        "scale": pair.scale.name,
        "each_gives": [list(colour) for colour in pair.colours],
        "shared": [str(note) for note in pair.shared],
        "step_semitones": pair.step_semitones,
        "over": over_data(pair.over),
    }
