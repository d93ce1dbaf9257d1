"""Wire the parts together: the only package that knows them all."""
