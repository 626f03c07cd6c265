"""What is done about money: quotes, approvals, payers, invoices, payments, closed months."""
