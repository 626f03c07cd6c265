"""What goes wrong in paint and filler: how it looks, why, what now, and the stages that mend it."""
