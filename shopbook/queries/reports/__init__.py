"""What is asked across all areas: the proof of the book, the month, the margins, today."""
