"""Floor 4: a Score as sound: MIDI, plucked strings, backing, audio files."""
