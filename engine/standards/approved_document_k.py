"""Approved Document K (England, 2013): protection from falling.

Guidance for one country, quoted to warn, not to approve: local codes and the building control
body decide.
"""

SOURCE = "Approved Document K 2013, para 1.41"
GUARDED_DROP = 600.0
"""Drop above which guarding is called for in a dwelling [mm], para 1.41."""
STEP_SOURCE = "Approved Document K 2013, table 1.1, private stair"
HIGHEST_RISE = 220.0
"""Greatest rise of one step [mm]."""
LEAST_RISE = 150.0
"""Least rise of one step [mm]; a lower one is tripped over."""
LEAST_GOING = 220.0
"""Least going of one step [mm]."""
