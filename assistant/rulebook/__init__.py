"""The rulebook: `rules/*.yaml` as frozen objects, with the graph that ties them."""
