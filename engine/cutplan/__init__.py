"""The cut plan: pieces and members packed into the stock they are cut from."""
