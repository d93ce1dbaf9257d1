"""Tell every fruit that goes into a box or out of it from the scale's readings alone."""
