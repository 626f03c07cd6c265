"""Emissions and waste of a shop against the limits of rules: mixes, spray records, waste."""
