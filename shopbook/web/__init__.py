"""The pages: one package an area, each a blueprint of the same name; `parts` is what they share."""
