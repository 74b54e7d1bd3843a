"""`python -m courseline.command_line`, for where the `courseline` command is not on the path."""

import sys

from . import main

sys.exit(main())
