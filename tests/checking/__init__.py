"""The rules of 'What always holds', one module for each part of the plan. See `checker.check_plan`."""
