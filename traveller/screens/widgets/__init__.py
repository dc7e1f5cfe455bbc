"""Pieces that several screens share."""
