"""Rules held against a plan as laid: what fails names its place and the remedy."""
