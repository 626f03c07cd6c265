"""From damage to a plan: pure drafting over the shop's catalogue."""
