"""The shop's catalogue: what is true of panels, stages, waits, mixes and materials until the shop says otherwise."""
