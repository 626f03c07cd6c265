"""What a job and a month earned, and what that says of a standard."""
