"""What the command line does, one module a command; `book` opens the book for them, as the act does for pages."""
