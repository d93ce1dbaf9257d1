"""Lay out, draw and hand over labels."""
