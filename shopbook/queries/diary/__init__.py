"""Questions to the diary: people and promised work by day, the week, the days that a job could have."""
