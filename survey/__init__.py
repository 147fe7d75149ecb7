"""The record: what was seen, said or drawn, when, and by whom."""
