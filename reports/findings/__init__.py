"""Findings: one module per family of rules; `ranking.py` puts them in order."""
