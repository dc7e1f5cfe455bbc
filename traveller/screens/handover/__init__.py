"""The pages of the changing shift: the brief, giving, taking."""
