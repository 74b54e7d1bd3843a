"""Papers: each reads a plan and makes a file or a table of it; none computes a quantity."""
