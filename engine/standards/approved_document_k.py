"""Approved Document K (England, 2013): protection from falling.

Guidance for one country, quoted to warn, not to approve: local codes and the building control
body decide.
"""

SOURCE = "Approved Document K 2013, para 1.41"
GUARDED_DROP = 600.0
"""Drop above which guarding is called for in a dwelling [mm], para 1.41."""
