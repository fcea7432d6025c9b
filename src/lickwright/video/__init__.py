"""A Score on the screen: an overlay for the teacher's own film, a finished video, captions."""
