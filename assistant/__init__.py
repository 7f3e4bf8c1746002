"""crumbwright: what each ingredient of a recipe does, what can stand in for it, and why."""

__version__ = "0.1.0"
