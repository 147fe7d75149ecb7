"""Checks of judgements and paper."""
