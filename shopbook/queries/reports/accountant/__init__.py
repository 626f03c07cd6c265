"""The rows of the accountant's flat tables: each a fixed number of statements, read a few rows at a time."""
