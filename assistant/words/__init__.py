"""Words every floor shares: units, faults, derivations. Imports nothing of ours."""
