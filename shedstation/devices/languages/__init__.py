"""Understand what scales send: languages, frames, readings."""
