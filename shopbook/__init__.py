"""Shopbook, the book of a small dent-and-repaint shop; the program is made in shopbook.app, nothing is loaded here."""

__version__ = "0.1.0"
