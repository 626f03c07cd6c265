"""What is done about money: quotes, the two kinds of yes, payers, invoices, payments, closed months."""
