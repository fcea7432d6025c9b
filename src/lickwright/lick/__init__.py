"""Floor 2: rhythm, phrase, strokes, fingers: what the hands play and when."""
