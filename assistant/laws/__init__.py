"""Laws: pure functions from numbers to numbers. No ingredient name appears in them.

Units stand in the names, ranges and sources in the docstrings; outside its range a law raises ValueError.
"""
