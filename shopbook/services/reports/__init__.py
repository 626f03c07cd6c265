"""What the owner does with the reports: a standard is set from the shop's own figures."""
