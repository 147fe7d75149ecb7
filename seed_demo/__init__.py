"""Three invented sites as survey files, what writes them, and what loads them."""
