"""The fields and the table of each noun."""
