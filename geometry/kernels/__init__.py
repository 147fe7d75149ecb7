"""Compiled inner loops. Nothing imports them at its head: they are loaded where computing begins."""
