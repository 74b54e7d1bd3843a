"""Published rules, one file for each source, named for it."""
