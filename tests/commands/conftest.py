"""The command line over a data folder, for every test of commands."""

from tests.commands.test_commands import begun, shell

__all__ = ["begun", "shell"]
