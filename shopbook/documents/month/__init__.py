"""The month in words: each part once for screen, paper, table and command line."""
