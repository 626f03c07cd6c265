"""What the owner does with what the reports say: a standard is taken from the shop's own figures."""
