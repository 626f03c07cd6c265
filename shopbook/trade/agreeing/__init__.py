"""What a customer is told and agrees to: its words, who approved what, and a rate of tax that changed since."""
