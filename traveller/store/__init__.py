"""The shared database: the only room that knows SQL."""
