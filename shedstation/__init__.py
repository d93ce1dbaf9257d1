"""A bench station for small mango packing sheds."""

__version__ = "0.1.0"
