"""Paper and exchange files from plain data of their own; knows no table, no service and no page."""
