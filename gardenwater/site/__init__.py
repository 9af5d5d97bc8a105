"""One place and everything on it, as a value: things, edits, history, clipboard."""
