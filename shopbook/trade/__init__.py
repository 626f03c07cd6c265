"""The trade as calculation: standard library and Babel; no clock, no database, no web."""
