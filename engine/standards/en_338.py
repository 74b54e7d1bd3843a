"""EN 338:2016, Structural timber: strength classes. Mean densities, for the weight of the order."""

SOURCE = "EN 338:2016 Table 1 (softwood)"
MEAN_DENSITY = {"C16": 370.0, "C24": 420.0}
"""Mean density at 12 % moisture [kg/m3]; treated timber arrives wetter and heavier."""
