"""Floor 9: where a teacher works: the same functions with a face."""
