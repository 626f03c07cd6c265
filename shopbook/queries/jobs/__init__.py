"""What is asked about jobs: the ledger, one job, its plan and pictures, and what the search box finds."""
