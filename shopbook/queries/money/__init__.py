"""What is asked about quotes, approvals, payers, invoices and payments."""
