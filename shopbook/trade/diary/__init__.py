"""When a job fits: opening hours, people, stages placed into free hours, the promised day."""
