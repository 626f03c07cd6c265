"""When a job fits: opening hours, hands, stages placed into free hours, the day that is promised."""
