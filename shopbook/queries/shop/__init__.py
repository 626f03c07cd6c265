"""What is asked about the shop itself: the book, people, rates and settings on a day, the log."""
