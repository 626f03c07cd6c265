"""How money, quantities, units and days are stored, rounded, typed and said."""
