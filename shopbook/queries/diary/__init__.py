"""The diary asked: hands and promised work by day, the week, the days that a job could have."""
