"""Floor 4: a recording turned back into notes, and held against the score."""
