"""Decide what screens show and say; no Qt here."""
