"""The record: what was entered about a unit, and what follows from it. No database, no clock, no screen."""
