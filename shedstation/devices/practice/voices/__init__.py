"""Write what scales of every family send: the other side of the languages, kept apart from them."""
