"""One action a file."""
