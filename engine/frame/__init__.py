"""The frame: where its members may lie, how they are set out, and what they bear."""
