"""HSE L23, Manual handling: guideline filter for lifting and lowering, as in HSE leaflet INDG143 too (from memory).

A filter that tells light work from what is to be looked at more closely, not a limit that is safe for everyone.
"""

SOURCE = "HSE L23, lifting and lowering filter (from memory)"
MAN = 25.0
"""For a man, held close to the body between knuckle and elbow height [kg]."""
