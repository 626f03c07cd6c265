"""What goes on a panel and how much of it: film, mixes, gun, filler, papers, and whether the weather lets it."""
