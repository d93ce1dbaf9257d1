"""Read a shed day from its folder: the station file, the actions, the captures."""
