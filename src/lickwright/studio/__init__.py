"""Floor 6: the studio, where a teacher works: the same functions with a face."""
