"""The layout: axes, region, courses, joint lines and pieces, in the order of the data."""
