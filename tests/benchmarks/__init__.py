"""Benchmarks: ratios against a yardstick measured beside them in the same run."""
