"""Clips and screws."""
