"""Diagnosis: make it safe, find what failed and why, and decide."""
