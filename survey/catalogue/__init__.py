"""What is known about products, reactions, containers and materials; standard library only."""
