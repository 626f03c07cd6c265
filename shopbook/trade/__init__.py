"""The trade as calculation: standard library only; no clock, no database, no web."""
