"""What the program does, without input or output of its own: use cases and the ports they need."""
