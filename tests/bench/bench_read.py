"""How long reading and writing a recipe takes.

Run: python -m tests.bench.bench_read

Prints medians and 95th percentiles in ms. Nothing here is a test: machines differ. The budget is 5 ms for
a recipe of twenty lines once the rulebook is loaded.
"""

from assistant.formula.read import read_text
from assistant.formula.write import to_text, to_yaml
from assistant.rulebook.read import load
from tests.bench.bench_turn import said, timed

TIMES = 100
LINES = """\
2 1/2 cups (312 g) all-purpose flour, plus more for dusting
1/2 cup whole wheat flour
1 tbsp psyllium husk
2 tsp baking powder
1/2 tsp baking soda
1 1/2 tsp fine sea salt
2-3 tbsp honey
100 g cold butter, cubed
2 large eggs, at room temperature
1 cup buttermilk
1/4 cup olive oil or melted butter
1 tsp vanilla extract
zest of 1 lemon
a pinch of cinnamon
75 g walnuts, toasted and chopped
1 (8 oz) package cream cheese, softened
1 cup plus 2 tbsp milk
50 g raisins
1 tbsp cider vinegar
30 g grated moonroot
""".splitlines()
METHOD = """
1. Preheat the oven to 350°F (175°C). Grease and line a loaf tin.
2. Whisk the dry ingredients in a large bowl. Rub in the cold butter.
3. Beat the eggs with the buttermilk, oil, honey and vanilla and stir into the flours. Let stand 10 minutes.
4. Fold in the walnuts and raisins, scrape into the tin and smooth the top.
5. Bake for 50-60 minutes, until 96 °C inside. Cool in the tin 10 minutes, then on a rack.
"""


def main() -> None:
    """Measure and print."""
    book, _ = load()
    text = "Long loaf\nMakes 1 loaf\n\n" + "\n".join(LINES) + "\n" + METHOD
    formula, faults = read_text(text, book, "bench", "text")
    assert formula is not None, faults
    assert len(formula.lines) == len(LINES)
    yaml = to_yaml(formula)
    said("read twenty lines of text", timed(lambda: read_text(text, book, "bench", "text"), TIMES))
    said("read the same in YAML", timed(lambda: read_text(yaml, book, "bench", "yaml"), TIMES))
    said("write text", timed(lambda: to_text(formula, book), TIMES))
    said("write YAML", timed(lambda: to_yaml(formula), TIMES))


if __name__ == "__main__":
    main()
