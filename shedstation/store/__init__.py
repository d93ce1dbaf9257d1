"""Keep the facts and the tables made of them in one SQLite file per data folder."""
