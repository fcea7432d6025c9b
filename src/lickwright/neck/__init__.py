"""Floor 1: the instrument, places on its neck, millimetres, arpeggio shapes."""
