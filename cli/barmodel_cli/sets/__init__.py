"""A whole set: the run, what it tells, its pictures, its bench, and old sets retuned."""
