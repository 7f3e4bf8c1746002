"""Laws: pure functions from numbers to numbers. No ingredient name appears in them.

Units stand in the names; units, range, source and spread in the docstrings, in parts that `publish.laws` reads. Outside
its range a law raises ValueError with a sentence. A law without `Spread` adds no doubt to that of its arguments.
"""
