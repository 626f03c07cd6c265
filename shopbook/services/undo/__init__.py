"""The way back from an act: which rows it may be undone from, by which counter line, and the act that does it."""
