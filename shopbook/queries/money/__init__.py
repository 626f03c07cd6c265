"""What is asked about quotes, the two kinds of yes, payers, invoices and payments."""
