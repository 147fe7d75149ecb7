"""Checks of commands, set-up, HTTP and pages."""
