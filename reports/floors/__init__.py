"""One floor at a time: its lots, where they run, whom they meet, what stops work on them."""
