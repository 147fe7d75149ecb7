"""Figures of speed: `python3 -m tests bench`. Ratios first, since seconds belong to one machine."""
