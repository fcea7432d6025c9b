"""Floor 4: a Score as a page: MusicXML, SVG, neck diagrams, the lesson sheet."""
