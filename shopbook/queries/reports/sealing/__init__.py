"""The proof of the seal: its links, the rows that they name, and what closings and backups remember of it."""
