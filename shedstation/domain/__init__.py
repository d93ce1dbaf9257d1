"""Fruit, masses, boxes, lots and rules: pure values and computations."""
