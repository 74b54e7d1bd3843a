"""The engine: from a site file to a plan, its papers and a scene model. It knows no Blender."""

from .design import design
from .errors import CourselineError, SiteError
from .layout.directions import propose_zones
from .planfile import plan_json, read_plan, write_plan
from .site import read_site, with_choices
from .version import VERSION

__all__ = [
    "VERSION",
    "CourselineError",
    "SiteError",
    "design",
    "plan_json",
    "propose_zones",
    "read_plan",
    "read_site",
    "with_choices",
    "write_plan",
]
