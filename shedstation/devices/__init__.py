"""Speak with scales: languages, lines, captures, and a practice scale."""
