"""The command `brackets`: one verb a module, no arithmetic; this is the only place that prints."""

from brackets.app.cli.app import main

__all__ = ["main"]
