"""Floor 0: spelled pitch, triads, keys, chords, and what a set of notes implies."""
