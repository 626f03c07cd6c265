"""The world beyond the database: plain functions that know no session and no service."""
