"""Words of pages that tests of several areas look for, each pinned here alone."""

QUOTED = "Estimate, with tax"
"""Before the sum of a job whose customer was told a price and has not answered."""

NO_ANSWER = "Waiting for an answer"
"""The heading of today's approvals and quotes that wait for somebody."""
