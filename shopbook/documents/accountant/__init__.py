"""Flat tables for the accountant and payroll: what each column holds, and how they are written as CSV and as a zip."""
