"""Learn a scale's language from examples, and share what was learned as a file."""
