"""Play a bench scale, so that everything can be tried with no hardware."""
