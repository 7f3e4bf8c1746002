"""English as bakers type it: phrases and words, as data; `utterance` gives them their meaning.

A table names a thing at the left margin and gives, after a colon, the ways to say it, parted by `|`.
In a phrase `(a|b)` are alternatives, `[x]` may be left out, `{slot}` is something to fill in and `@name`
stands for the words defined under that name. Indented lines go on: in a table the list, among the phrases
one phrase a line, with deeper lines continuing it. Words are written as they are matched: small letters,
no apostrophes, hyphens as blanks. No ingredient, diet or recipe is named here; those come from the rules.
"""

import re
from collections.abc import Mapping
from functools import cache

Table = Mapping[str, tuple[str, ...]]
"""A thing's name here -> the ways to say it."""


def table(text: str) -> dict[str, tuple[str, ...]]:
    """Reads a table.

    >>> table('''
    ... sheet: sheet | tray |
    ...     baking sheet
    ... ''')
    {'sheet': ('sheet', 'tray', 'baking sheet')}
    """
    entries = (entry.partition(":") for entry in re.sub(r"\n +", " ", text.strip()).splitlines())
    return {name: tuple(word.strip() for word in words.split("|")) for name, _, words in entries}


def by_word(words: Table) -> dict[str, str]:
    """From each way to say a thing to its name."""
    return {word: name for name, said in words.items() for word in said}


@cache
def phrases() -> tuple[tuple[str, str], ...]:
    """Every phrase with the name it stands under, in the order they are tried."""
    found: list[tuple[str, str]] = []
    name = ""
    for line in _PHRASES.strip().splitlines():
        if not line.startswith(" "):
            name = line.rstrip(":")
        elif line.startswith(" " * 8):
            joint = "" if found[-1][1].endswith("|") else " "
            found[-1] = (name, found[-1][1] + joint + line.strip())
        else:
            found.append((name, line.strip()))
    return tuple((name, _spelt_out(phrase)) for name, phrase in found)


def _spelt_out(phrase: str) -> str:
    return re.sub(r"@([a-z]+)", lambda m: _WORDS[m[1]], phrase)


WHATS: Table = table(
    """
recipe: recipe | formula | ingredients | lines | ingredient list | full recipe | whole recipe | recipe
    again | card
method: method | steps | instructions | directions | procedure | how to make it | how its made |
    preparation
numbers: numbers | figures | chemistry | all numbers | all the numbers | dough feel | ph | acidity |
    balance
nutrition: nutrition | nutrients | nutrition facts | nutritional values | macros | macro | nutrition table
    | nutritional information | calories
allergens: allergens | allergen | allergies | allergen list
diets: diets | diet | diet list
working: working | workings | derivation | derivations | sums | maths | math | calculation | calculations
timeline: timeline | times | time plan | day plan | order of work
options: options | choices | alternatives | option list | list of options | them all | all of them
bake: bake | baking | bake time | baking time | oven time | oven | doneness | doneness signals
crumb: crumb | texture | taste | taste and texture | crust
changes: changes | change | difference | differences | what changed | changed
sources: sources | evidence | references
cautions: cautions | warnings | caution | warning
original: original | original recipe | first version | base
shelf: shelf | my shelf | own ingredients | own packets | packets | own shelf
"""
)
"""What can be shown."""

NUTRIENTS: Table = table(
    """
net_carbs_g: net carbs | net carb | net carbohydrate | net carbohydrates | carbs net
carbohydrate_g: carbs | carbohydrate | carbohydrates | total carbs | total carbohydrate
soluble_fibre_g: soluble fibre | soluble fiber
insoluble_fibre_g: insoluble fibre | insoluble fiber
fibre_g: fibre | fiber | dietary fibre | dietary fiber
saturated_g: saturated fat | saturates | saturated
fat_g: fat | total fat
protein_g: protein
sugars_g: sugars | sugar content
polyols_g: polyols | sugar alcohols
sodium_mg: sodium
energy_kcal: calories | kcal | energy | calorie
ketogenic_ratio: ketogenic ratio | keto ratio
"""
)
"""Nutrients of the JSON contract."""

RAISED: Table = table(
    """
yeast: yeast | yeasted | yeast raised
chemical: powder | baking powder | soda | baking soda | chemical
"""
)
"""What raises a dough."""

LABEL: Table = table(
    """
energy_kcal: energy | calories | kcal | calorie | energy value
energy_kj: kj | kilojoules
saturated_g: saturated fat | saturates | of which saturates | of which saturated | saturated | sat fat
polyols_g: polyols | sugar alcohols | sugar alcohol | of which polyols
allulose_g: allulose
starch_g: starch
sugars_g: sugars | total sugars | sugar | of which sugars
soluble_fibre_g: soluble fibre | soluble fiber
insoluble_fibre_g: insoluble fibre | insoluble fiber
fibre_g: fibre | fiber | dietary fibre | dietary fiber | total fibre | total fiber
carbohydrate_g: carbs | carb | carbohydrate | carbohydrates | total carbs | total carb | total carbohydrate |
    total carbohydrates
fat_g: fat | total fat | fats
protein_g: protein | proteins
sodium_mg: sodium
salt_g: salt
potassium_mg: potassium
alcohol_g: alcohol
not counted: added sugars | added sugar | includes | trans fat | cholesterol | net carbs | net carb | calcium |
    iron | vitamin d | monounsaturated | polyunsaturated | monounsaturated fat | polyunsaturated fat |
    calories from fat
"""
)
"""What labels print, by its name in the rules."""

CONVENTIONS: Table = table(
    """
us: us | usa | u.s. | american | fda | canadian
eu: eu | european | uk | british | australian | german | french | italian | spanish | portuguese
"""
)
"""Whose rules a label follows: whether its carbohydrate holds the fibre."""

FACTORS: Table = table(
    """
0.5: half | half of | half as much | halve | half the amount of
2: double | twice | twice as much | two times | doubled | double the amount of
3: triple | three times | treble
1/3: a third | a third of | one third | one third of
2/3: two thirds | two thirds of
0.25: a quarter | a quarter of | one quarter of
0.75: three quarters | three quarters of
1.5: one and a half times | half as much again
"""
)
"""Multiples."""

PANS: Table = table(
    """
loaf tin: loaf tin | loaf pan | bread tin | bread pan | tin | loaf tins | pullman tin
muffin tin: muffin tin | muffin pan | muffin tins | muffin cups | muffin cases
round tin: round tin | round tins | round pans | cake tins | cake pans | sandwich tin | sandwich tins | round pan | cake tin | cake pan | springform | springform tin
sheet: sheet | tray | baking tray | baking sheet | sheet pan | cookie sheet
stone: stone | pizza stone | baking stone | baking steel | steel
skillet: skillet | cast iron pan | cast iron skillet | frying pan | cast iron
square tin: square tin | square tins | square pan | square cake tin | square cake pan
dish: baking dish | oven dish | roasting tin | roasting pan | baking pan | brownie tin | brownie pan | dish |
    rectangular tin | rectangular pan
ring tin: ring tin | ring pan | ring mould | ring mold | tube pan | tube tin
"""
)
"""What a bake stands in."""

MATERIALS: Table = table(
    """
bright: light metal | bright metal | shiny metal | light | bright | shiny | aluminium | aluminum | tinplate |
    light aluminium | light aluminum | metal | steel
dark: dark metal | dark | black | dark coated | coated | non stick | nonstick | dark non stick | enamel |
    enamelled | carbon steel | black metal
glass: glass | heatproof glass | ovenproof glass
silicone: silicone | silicon | rubber
ceramic: ceramic | stoneware | earthenware | clay | porcelain
cast iron: cast iron | iron
"""
)
"""What pans are made of."""

SHAPES: Table = table(
    """
loaf: loaf | loaves | tin loaf | free loaf
rolls: rolls | roll | buns | bun
round: round | boule | cob | round loaf | ball
baguette: baguette | baguettes | stick | sticks
flat: flat bread | flatbread | flat breads | flatbreads | flats | flat rounds
"""
)
"""Shapes of a piece."""

OVENS: Table = table(
    """
fan: fan oven | convection oven | fan assisted oven | fan | convection | circulating air
still: still oven | conventional oven | top and bottom heat | still | gas oven | conventional
"""
)
"""Kinds of oven."""

TOPICS: Table = table(
    """
acid: acid | an acid | acidic | something sour | sour | sourness | more acid
bake time: bake time | baking time | longer | so long | take longer | bake longer | time in the oven |
    oven time | bake so long | take so long | shorter | baking | the bake | long | minutes | time | bakes
    longer | baked longer | longer bake | less time
oven temperature: oven temperature | temperature | cooler | hotter | cooler oven | hotter oven | oven |
    lower temperature | lower heat | the heat
water: more water | less water | wetter | drier | hydration | dough feel | free water | so much water | so
    wet | so dry
salt: less salt | more salt | reduced salt | cut salt
gas: gas | leavening | rise | rising | lift | raising | rise less | oven spring
ph: ph | acidity | alkaline
soda left over: soda left over | leftover soda | soapy | soapiness
rest: rest | resting | wait | waiting | rest the dough | the rest
crumb: crumb | dense | denser | texture | heavier | less airy | lighter | tighter | open | softer | drier
    crumb
colour: colour | color | paler | darker | browning | green | brown | crust
taste: taste | flavour | flavor | bitter | sweeter | sour taste | taste different
net carbs: net carbs | carbs | carbohydrate
nutrition: nutrition | macros | calories | energy
fibre: fibre | fiber | soluble fibre | insoluble fibre
sodium: sodium | more sodium
core temperature: core temperature | core
order: first | best | this order | on top | ranked first | ranked
"""
)
"""What one may ask the reason of, besides ingredients."""

FAULTS: Table = table(
    """
gummy: gummy | gluey | sticky inside | claggy | pasty | gooey | sticky | stodgy | slimy | rubbery
dense: dense | heavy | like a brick | a brick | tight | close | compact | leaden
flat: flat | did not rise | didnt rise | no rise | wont rise | not rising | not risen | too flat | spread
    | spread out | never rose | hasnt risen | did not spring | no oven spring
collapsed: collapsed | sank | sunk | fell | sunken | fell in | sank in the middle | caved in | shrank |
    deflated | fallen
dry: dry | too dry | stale | dried out | mealy | chalky
crumbly: crumbly | crumbled | fell apart | falls apart | falling apart | breaks | wont hold together |
    sandy
raw inside: raw | raw inside | raw in the middle | underbaked | underdone | undercooked | doughy | wet
    inside | not done | wet in the middle | not cooked | damp inside | moist inside
burnt: burnt | burned | too dark | overbaked | scorched | charred | burnt on top | too brown
pale: pale | too pale | white | no colour | no color | not brown | not browned | too light
green: green | greenish | turned green | grey green | green inside | bluish | blue
soapy: soapy | metallic | tastes of soda | tastes of soap | chemical | alkaline
sour: sour | too sour | acidic | tangy | too tangy | vinegary
bitter: bitter | too bitter
salty: salty | too salty
bland: bland | flat tasting | tasteless | no taste | no flavour | no flavor
hollow: hollow | a big hole | holes | big holes | tunnels | tunnel | hole in the middle | a hole | big
    hole under the crust | air pocket
cracked: cracked | split | burst | cracked on top
wet dough: dough too wet | batter too thin | too wet | too thin | runny | slack | sloppy | too soft
stiff dough: dough too dry | dough too stiff | too stiff | too thick | stiff | too firm
tough: tough | chewy | too chewy | hard | too hard | leathery
eggy: eggy | tastes of egg | tastes eggy
purple: purple | pink | reddish | purplish
"""
)
"""What goes wrong with a bake, by its name in the trade."""

FORMATS: Table = table(
    """
html: html | web page | page | webpage | a web page | card | recipe card
md: markdown | md
txt: text | plain text | txt
jsonld: jsonld | json ld | structured data | json
pdf: pdf | print
"""
)
"""Forms to publish in."""

LANGUAGES: Table = table(
    """
en: english | en
de: german | deutsch | de
fr: french | francais | fr
es: spanish | espanol | es
it: italian | italiano | it
pt: portuguese | pt
"""
)
"""Languages, by tag."""

ORDINALS: Table = table(
    """
1: first | 1st | first one | number one | one | top one | top | best | best one
2: second | 2nd | second one | number two | two
3: third | 3rd | third one | number three | three
4: fourth | 4th | fourth one | number four | four
5: fifth | 5th | fifth one | number five | five
-1: last | last one | bottom one | final one | final
"""
)
"""Places in a list, -1 for the last."""

POLITENESS: Table = table(
    """
lead in: can we | could we | should we | do you think i can | gimme | please | can you | could you |
    would you | will you | hey | hi | hello | so | well | ok | okay |
    um | oh | oh no | sorry | now | and | but | then | also | lets | let us | i want to | i would like to
    | id like to | i need to | we need to | just | actually | maybe | tell me | yes | and now | help |
    damn | , | how do i | how can i | can i | could i | may i | should i | is it ok to | is it possible to
    | id like | i would like | i want | i need | what about | how about
lead out: please | thanks | thank you | now | then | today | at all | anymore | any more | right now | for
    me | tonight | tomorrow | here | in the house | at home | in stock | in my kitchen | at the moment |
    though | ok | okay | you know | if possible | sorry | help | ,
"""
)
"""Words before and after a request that ask nothing themselves."""

AROUND_A_WISH = frozenset(
    table(
        """
words: for | to | be | that | which | is | are | it | has | have | should | must | but | also | with | who | a |
    an | the | my | our | some | any | good | nice | something | anything | one | ones | someone | somebody |
    people | person | guest | guests | friend | friends | diet | version | disease | please
"""
    )["words"]
)
"""Words around what a stand-in is to be: "something soft", "for a vegan guest"."""

_WORDS: Mapping[str, str] = {
    name: " | ".join(words)
    for name, words in table(
        """
per: per piece | each | a piece | per roll | a roll | per slice | a slice | per loaf | per muffin |
    per serving | in each | per bun | in one
have: (i have|ive|ive got|i have got|we have|weve got|got|there is|theres|there are|i seem to have|i find
    i have|we are having)
out: (im|i am|were|we are|weve|we have|ive|i have|i|just|have|we) [just|all|nearly|completely] (out of|run
    out of|ran out of|running out of|low on|short of)
cant: [i|we|you|they] (cant|cannot|can not|couldnt|could not|wont|dont) [seem to] (get|find|buy|use|have|
    eat|source|get hold of|stand|like|want|want to use|want any|own|keep)
opt: [the|option|number|choice|no|#]
"""
    ).items()
}
"""Words that several phrases share."""

_PHRASES = """
help:
    help
    what can you do
    what can i (ask|say|type|do)
    commands
    how does this work
    hello
    hi
    hey
    (i need|need) help
    how do i use this
    what now
quit:
    quit
    exit
    bye
    goodbye
    good bye
    q
    (im|i am|we are|were) (done|finished)
    thats (all|it)
    stop
    leave
    end
    close
    see you
    bye bye
    good night
    thanks bye
discard:
    discard
    quit without saving
    discard [changes|everything|it]
    dont save
    exit without saving
    throw it away
undo-all:
    undo (everything|all|it all|all of it|all changes)
    start over
    start again
    reset
    [go] back to the (original|start|beginning|first version)
    revert [everything|all]
    (restore|give me) the original
    from the beginning
undo:
    undo [that|it|this|the last|the last change|last change|last]
    go back
    back
    take (that|it) back
    revert (that|it)
    step back
    one step back
    that was wrong
    no undo [that|it]
    put it back
redo:
    redo [that|it|this]
    do (it|that) again
    go forward
    forward
    again
    undo the undo
    put that back
decline:
    no
    nope
    never mind
    nevermind
    no thanks
    no thank you
    none
    none of (them|these|those|that)
    cancel
    forget it
    forget that
    leave it [as it is]
    keep it [as it is]
    nothing
    stay
    not now
    neither
yes:
    yes
    yes please
    yep
    ok
    okay
    sure
    yeah
    do it
    do that
    go ahead
    go on
    take it
    sounds good
    yes do it
    that one
    lets do (it|that)
medicine:
    [make it] [for|suitable for|ok for] [a|the|my] (diabetic|diabetics|diabetes|kidney patient) [x]
    how much insulin {x}
    {x} insulin [dose] {y}
    {x} insulin
    what dose {x}
    is (it|this) safe for {x}
    can {x} eat (it|this)
    {x} my medication
    {x} my medicine
    [will|does|would] [this|it] (cure|heal|treat) {x}
off-topic:
    {x} (weather|poem|joke|song|football|president|news|stock market) [y]
    (tell me|write|sing) a (joke|poem|story|song)
    whats the (weather|news) [like]
    who are you
    who made you
choose:
    {ordinal}
    @opt {ordinal} [one|option|please]
    [ill] (take|choose|pick|use|want|go with|go for|try|apply|give me) @opt {ordinal} [one|option]
    (i|ill|id) [like|want|choose|take] [the|option|number] {ordinal} [one|option]
    the {ordinal} (option|choice)
choose-named:
    [ill] [take|choose|pick|use|go with|have|try|give me|want] the {title} (one|option|version|way)
    [ill] [take|choose|pick|use|go with|have|try|give me|want] the (one|option|version|way) with {title}
show-line:
    [show] [me] [the] line [number|no] {n}
    (show|see|explain|print) [me] ingredient [number|no] {n}
compare:
    compare [everything|all|them|all of them|the options|options|all options]
    side by side
    which is (best|better)
    which [one] (should i take|would you take|is better)
    compare [the|option|number|options] {ordinal} (and|with|to|against|or|vs|versus) [the|option|number]
        {ordinal2} [one|option]
    [option] {ordinal} (vs|versus|against) [option] {ordinal2}
    compare [with|to|against|option|number|the] {ordinal} [one|option]
compare-original:
    compare [it|this] (with|to|against|and) the (original|base|first version|recipe as it was|start)
    compare (with|to) [the] original
    compare with before
    before and after
    how does it differ [from the original]
    (what|whats) [is] [the] (different|difference) [from the original|to the original|to before]
    original (vs|versus) (this|new|now)
    show [me] [it] next to the original
changes:
    what (changed|changes|has changed|did you change)
    show [me] [the|what] (changes|changed)
working:
    (show|see|explain|give) [me] [the] (working|workings|derivation|sums|maths|math|calculation) (for|of|
        behind|on) [the] {subject}
    (working|workings|derivation) (for|of|behind) [the] {subject}
    working {subject}
    where (does|do|did) [the] {subject} come from
    how (did|do) you (get|work out|calculate|compute|know|arrive at) [the] {subject}
    how is [the] {subject} (calculated|worked out|computed|derived)
    how (sure|certain|accurate) is [the] {subject}
    says who
how-much:
    (how much|how many) {ingredient} [do i need|do we need|is in it|are in it|goes in|go in|is there|
        are there|
        do i use|is it|does it need|does it take|in it]
more-numbers:
    how (sour|acidic|alkaline) (is|will) (it|the dough|the crumb) [be]
    how much (gas|acid|lift|free water) [is there|does it make|does it give|is in it]
    [is there] [any] [how much] [soda left over|leftover soda|soda is left|soda is left over|soda left]
    how (wet|stiff|soft) (is|will) (it|the dough) [be]
the-crumb:
    how (sweet|dense|springy|moist|open|soft|dark|brown|light) (is|will) (it|they|the crumb|the crust|
        the bread)
        [be]
    (how long|how many days) (does|will|do) (it|they) (keep|last|stay fresh) [for]
    what (is|will) (it|the crumb|the bread) be like
weight:
    (what|how much) (does|do|will) (it|one|each|each one|a roll|a piece|they|a loaf) weigh [baked]
show:
    {what}
    [any|other|any other] (alternatives|options|ways|ideas|possibilities)
    what else
    (show|see|display|print|list|give|tell|view|read|get) [me|us] [the|all|all the|my|its] {what} [again|
        now|table|please]
    [what] (are|is|whats|what is) [the|my|its] {what} [again|now|like]
    whats [the|in the] {what}
    [and] the {what}
    [the] {what} please
    let me see [the] {what}
    (id|i would) like to see [the] {what}
recipe:
    show
    show (it|me|this)
    show me (it|this)
    whats in it
    what is in it
    what do i need
    list
    where are we
    what do we have
    how does it look [now]
method:
    how do i (make|do|bake) (it|this|them)
    how (is it made|do you make it)
    what do i do
    walk me through it
    whats the method
diets:
    [who] (is it|is this|can) [suitable for|ok for|for|safe for|still] (who|which diets|a diet)
    what diets [does it suit]
    which diets [does it suit|fit]
    who can eat (it|this)
bake-time:
    how long [do i bake it|does it bake|do i bake|in the oven|to bake|should i bake it]
    when is it done
    how (do|will|can) i (know|tell) [when|if] [it] [is|its] done
    how hot [is the oven|should the oven be]
    what temperature
    which temperature
timeline:
    how long does it [all] take
    how long (until|till) [its|it is] (ready|done)
    when do i start
    how much time [do i need|does it need|does it take]
is-it:
    (is it|is this|are they|are these|is the result|would it be|is that|is it still|does it count as)
        [still] {diet}
    (does it|does this) (have|contain) [any] {diet}
    (is there) [any] {diet} in (it|this)
cups:
    [use|in|with|show|switch to|give me|i use|i want|change to|go] (cups|cups and spoons|spoons|us|us
        units|us measures|american|american measures|ounces|oz|imperial|volume|volumes|cups please|
        tablespoons) [please|instead]
grams:
    [use|in|with|show|switch to|give me|i use|i want|change to|go [back] to|back to] (grams|metric|g|grams
        please|weights|weight|metric units|grammes|mass) [please|instead|again]
at-most:
    [keep] [the] {nutrient} (under|below|less than|at most|no more than|max|maximum|not more than|up to|<|
        <=|lower than|down to) {n} [g|mg|kcal|grams] [@per|{hundred}]
    [make|keep|get] [it] [to|with] (under|below|less than|at most|no more than|max|maximum|fewer than) {n}
        [g|mg|kcal|grams] [of] {nutrient} [@per|{hundred}]
    max {n} [g|mg|kcal] {nutrient} [each]
    {nutrient} max {n} [g|mg]
    (bring|get|cut|reduce|lower) [the] {nutrient} [down] to {n} [g|mg|kcal] [@per|{hundred}]
at-least:
    [keep] [the] {nutrient} (over|above|more than|at least|no less than|min|minimum|not less than|>|>=|up
        to at least) {n} [g|mg|kcal|grams] [@per|{hundred}]
    [make|keep|get] [it] [to|with] (over|above|more than|at least|no less than|min|minimum) {n} [g|mg|
        kcal|grams] [of] {nutrient} [@per|{hundred}]
    (raise|bring|increase) [the] {nutrient} [up] to {n} [g|mg|kcal] [@per|{hundred}]
between:
    [keep] [the] {nutrient} between {n} and {n2} [g|mg|kcal] [@per|{hundred}]
ratio:
    [a] (ketogenic|keto) ratio [of] [at least|over|above] {ratio}
    [at least] {ratio} (keto|ketogenic) [ratio]
nutrient:
    [show|give] [me] [the] [how many|how much|whats the|what is the] {nutrient} [are in it|is in it|does it
        have|in it] [@per]
    how (many|much) {nutrient} [in it|does it have|are there|is there|has it|does one have] [@per]
    [show|give|list] [me] [the] (nutrition|macros|nutrients) [@per|per 100 g|per hundred grams]
yield:
    (make|bake|for|yield|i want|i need|give me|scale to|scale it to|do|enough for) {n} [of them|pieces]
    [make|bake|for|give me|scale to|scale it to|i want|i need] [it] [into] {n} {pieces} [instead] [of
        {mass} [each]]
    [make|scale to|bake|give me] {n} [pieces|x] (of|at|x|times) {mass} [each]
    (make|scale) [them|each|it] {mass} each
    [make|scale] [pieces|rolls|each piece|each roll|the pieces|the rolls] of {mass}
    [make] {n} {mass} {pieces}
    each (one|piece|roll) {mass}
    make [them|each|each one|each piece|the rolls] {mass} [each|a piece]
    {n} {pieces} at {mass} [each]
total:
    [make|make it|scale to|scale it to|i want|i need|give me] [a total of|in all|total] {mass} [of]
        [dough|in all|total|batter|altogether] [in all|total]
    total [of] {mass}
double:
    double
    double (it|the recipe|everything|this|the batch|the lot|that)
    twice [as much|the recipe|the batch]
    make (double|twice|two batches)
    (a|make a) double batch
halve:
    half
    halve
    halve (it|the recipe|everything|this|the batch)
    half [of] (it|the recipe|everything|the batch)
    make half [of it|the recipe|a batch]
    [make] [a] half [a] batch
    cut it in half
triple:
    triple
    triple (it|the recipe|everything|this|the batch)
    treble it
times:
    scale [it|the recipe|everything] [by|times|x|up by|down by|up|down|to] {n} [times|x]
    [make|times] {n} (times|x) [the recipe|as much|it|everything|that]
    x {n}
    (times|multiply by|multiply it by) {n}
    [make] {n} batches
percent-less:
    [what if] [i|we] [use|used|with|had|take|have|put|add] {n} (%|percent) less [of] {ingredient}
    (reduce|cut|lower|decrease) {ingredient} by {n} (%|percent)
    what if {ingredient} (is|was|were) (reduced|cut|lowered) by {n} (%|percent)
percent-more:
    [what if] [i|we] [use|used|with|had|take|have|put|add] {n} (%|percent) more [of] {ingredient}
    (raise|increase) {ingredient} by {n} (%|percent)
grams-more:
    [what if] [there (is|was|were)] [i|we] [use|used|with|had|add|added|put|put in|put in] {mass} more
        [of] {ingredient}
    [what if] [i|we] (add|added|adding|adding in|put in) [another|an extra] {mass} [more] [of]
        {ingredient}
    [what if] [i|we] [add|use|with|put in] [another|an extra|extra] {mass} [extra|additional] {ingredient}
        [more]
    (increase|raise) {ingredient} by {mass}
grams-less:
    [what if] [there (is|was|were)] [i|we] [use|used|with|had|put|put in] {mass} less [of] {ingredient}
    (reduce|cut|lower|decrease) {ingredient} by {mass}
    [what if] [i|we] (remove|removed|take out|took out|hold back) {mass} [of] {ingredient}
factor:
    [what] [if|about|happens if|happens with] [i|we] [only] [use|used|put|put in|take|took|had|add|added|
        with|make it with] [only] {factor} [the|of the|my|as much|the amount of|of] {ingredient}
    {factor} {ingredient} [only]
    (what if|use) {ingredient} {factor}
    what if {ingredient} (is|was|were) (halved|doubled) {factor}
omit:
    (what if|what happens if|suppose|what would happen if|what if i|what about) [i|we] (leave|left|
        leaving|take|took|drop|dropped|skip|skipped|omit|omitted|forget|forgot|remove|removed|dont use|
        dont add|didnt use|use no|used no|had no|have no|leave out|left out|take out|dont put in) [out]
        {ingredient} [out|away|off|in]
    (leave|leaving|take) (out|away) {ingredient}
    leave {ingredient} out
    (skip|omit|drop|remove) {ingredient}
    (can|could|may) i (leave out|skip|omit|drop) {ingredient}
    (can|could|may) i leave {ingredient} out
    (what if|what about) (there is|there was|theres|there were|its|with) no {ingredient}
    what if no {ingredient}
    what (if|about) [it] without {ingredient}
    do without {ingredient}
    [what if] [i|we] (do|did) without {ingredient}
what-if-swap:
    (what if|what happens if|suppose) [i|we] (swap|swapped|replace|replaced|change|changed|exchange|
        exchanged|substitute|substituted) {ingredient} (for|with|by|to|against) {substitute}
    (what if|what happens if|suppose) [i|we] (use|used|take|took|had|put|put in|add|added) {substitute}
        (instead of|in place of|rather than|not) {ingredient}
    what if {substitute} (instead of|in place of|rather than) {ingredient}
    what if {ingredient} (is|was|were|becomes|became) {substitute}
more:
    [what if] [there (is|was|were)] [i|we] [use|used|with|had|add|added|put] [a bit|a little|some] more
        [of] {ingredient}
    increase {ingredient}
    more {ingredient}
less:
    [what if] [there (is|was|were)] [i|we] [use|used|with|had|put] [a bit|a little] less [of] {ingredient}
    (reduce|cut down on|lower|cut) {ingredient}
    less {ingredient}
    [a] little less {ingredient}
quick-version:
    [make] [it|this] [as|into|to] [a] (quick bread|quick version|quickbread|quick one|quick|soda bread)
        [version]
    [make|give me] [a|the] quick (version|bread) [of it|of this]
    no (proof|proofing|proving|rise|rising|fermentation) [time]
    without (proofing|proving|rising|waiting|a proof|fermentation)
    (i have no|no) time (to proof|for proofing|to let it rise|for rising|to wait)
    turn (it|this) into a quick bread
    convert (it|this) [to|into] a quick bread
yeast-version:
    [make] [it|this] [as|into|to] [a] (yeast bread|yeast version|yeasted version|yeast dough|yeasted
        bread|yeast raised|yeasted|yeast raised bread|yeast raised version)
    [make|give me] [a|the] yeast (version|bread) [of it|of this]
    [go] back to yeast
    (turn|convert) (it|this) (into|to) a yeast (bread|dough|version)
    raise it with yeast
    (make|raise) it with yeast [instead]
instead:
    [what] [can i|could i|do i|should i|to|would you|is] [use|take|there|used|put] (instead of|in place
        of|for|as a substitute for) {measure} [of] {ingredient}
    (substitute|substitutes|replacement|stand in|alternative|alternatives|sub|subs) for {measure} [of]
        {ingredient}
    instead [of] {measure} [of] {ingredient}
    [what] (can i|could i|do i|should i|to|would you|can we) [use|take|put] (instead of|in place of|as a
        substitute for) {ingredient}
    [a|any] (substitute|substitutes|replacement|stand in|alternative|alternatives|sub|subs) for
        {ingredient}
    instead of {ingredient}
    what (replaces|substitutes|stands in for|goes instead of|could replace|can replace|can stand in for|
        would replace|works instead of) {ingredient}
    (what is|whats|is there) [a|any] [good] (substitute|replacement|stand in|alternative|sub) for
        {ingredient}
    what instead of {ingredient}
    [what is|whats|is there] [a|any] {wish} (substitute|replacement|stand in|alternative|sub) (for|to) {ingredient}
swap:
    (swap|replace|exchange|change|trade|switch|turn) [out] {ingredient} (for|with|by|to|against|into)
        {substitute}
    (substitute) {substitute} for {ingredient}
    substitute {ingredient} (with|by) {substitute}
    [i] [want to] [use|using|with|make it with|take|put|put in|try|have|got|i have|ive got|do i|can i use|
        could i use] {substitute} (instead of|in place of|rather than|not|for) {ingredient}
    {ingredient} (to|into|with) {substitute} (swap|exchange)
    @have no {ingredient} [left] (but|only|just) [i have|have|ive got|there is|we have] {substitute}
    (no|@out|out of) {ingredient} [so] (use|but i have|but have|only|take|but we have|but ive got)
        {substitute}
    (can|could|would) {substitute} replace {ingredient}
    {ingredient} out {substitute} in
    does {substitute} work (instead of|for) {ingredient}
    will {substitute} (work|do) (instead of|for) {ingredient}
missing:
    @have no [more] {ingredient} [left|anymore] [in the house|at home|in stock|in the cupboard|here]
    @out {ingredient}
    (out of|run out of|ran out of|running out of|havent got|havent|have no|havent any|missing|lacking|
        lack|short of) [any] {ingredient}
    @cant [any|the|more|hold of|my] {ingredient}
    (i|we) (havent|have not|havent got|have not got|dont have|do not have|dont own) [got] [any|enough|the|
        more|a] {ingredient} [left]
    (there isnt|there is not|there arent|there are not) [any|enough] {ingredient} [left]
    {ingredient} (is|are) (missing|gone|finished|empty|out|all gone|used up|off|too expensive|unavailable|
        out of date|not available|sold out|out of stock|dead|too old|expired)
    {ingredient} (has|have) (run out|gone off|gone bad|expired)
    (replace|swap|substitute|exchange|swap out|change) {ingredient}
    (get rid of|lose|avoid using) {ingredient}
    find [me] [a|something] (stand in|substitute|replacement|alternative|something else) for {ingredient}
    what can i do about {ingredient}
    my {ingredient} (is|are) (dead|old|off|gone|empty|finished|expired)
    i forgot [to buy] [the] {ingredient}
    we are missing {ingredient}
    (im|i am|were|we are) (missing|lacking) {ingredient}
    (the shop|the store|shop|they) (has|had|have) no {ingredient}
    what else [could|can] [i|we] [use] for {ingredient}
avoid:
    (no|without|avoid|leave out all|free of|exclude|not any|not|never) [any|all] {diet}
    (make|do|bake|have|cook) [it|this|them] (without|with no) [any|all] {diet}
    (i|someone|my [x]|she|he|one guest|a guest|they|we|somebody|my son|my daughter|my wife|my husband|the
        kids|one hiker|a hiker) (am|is|are|has|have|cant) (allergic to|intolerant to|an allergy to|a
        allergy to|eat|have|intolerance to|sensitive to|not allowed|an intolerance to) [any] {diet}
    (im|hes|shes) (allergic|intolerant) to {diet}
    allergic to {diet}
    allergy to {diet}
    (i|we) (cant|cannot|dont|do not) eat {diet}
    (avoid|nothing with|it has to be without) {diet}
    {diet} allergy
    {diet} intolerance
diet:
    {diet}
    (make|do|keep|have|turn|get|convert|want|need|adapt) [it|this|them|the recipe] [to be|into|for|as|to]
        [a|an|me] {diet} [version|diet|person|guest|people|friendly|one|recipe]
    (is there|give me|i want|i need|show me|id like|can it be|could it be|can you make it|can this be) [a|
        an|it|made|to be] {diet} [version|one]
    [suitable] for [a|an|someone|my] {diet} [person|guest|diet|people|friend]
    it (has to be|must be|should be|needs to be) {diet}
    adapt [it] (for|to) [a|an] {diet} [diet]
    (i|we|they) (eat|am|are) {diet}
    (im|were|hes|shes|theyre) [a|on a|on] {diet} [diet]
    a {diet} guest [is coming|is here]
    {diet} (please|version|too)
record:
    (record|log|note|test bake|test baked|result|results) [that|this|it|of] {rest}
    (it took|i baked it [for]|baked [it] [for]|took|it baked [for]|it was done after|done after|it needed|
        it was in the oven [for]|out after|i took it out after|we baked it [for]) {rest}
diagnose:
    (it|they|the bread|the rolls|the loaf|the crumb|the cake|mine|this one|the crust|the inside|the
        middle|the muffins|the result|the dough|the batter|bread|rolls|loaf|crumb|crust|the bottom|the
        top) (came out|was|were|is|are|turned out|came|went|turned|got|tastes|tasted|taste|looks|looked|
        stays|feels|felt|has|have|had|smells|ended up|seems) [all] {fault}
    (it|they|the bread|the rolls|the loaf|the dough|the cake|mine|bread|dough|rolls) {fault}
    why (is|was|did|are|were) (it|they|my bread|my rolls|the bread|the crumb|the loaf|my loaf) [come out|
        turn out|turn|go] {fault}
    why did (it|they|my bread|the bread|the loaf|my rolls) {fault}
    (too|very|so|all) {fault}
    (tastes|tasted|looks|looked|feels|felt|smells|was|is|stays) [all] {fault}
    came out {fault}
    turned out {fault}
    my (bread|rolls|loaf|dough|crumb|cake|muffins|batter) (is|are|was|were|came out|turned|turned out|
        tastes) {fault}
    {fault} (crumb|bread|rolls|loaf|crust|inside|dough|middle|batter)
    what (causes|makes it) [a] {fault} [crumb|bread]
explain:
    why [do|does|did|is|are|was|were|should|would|must|has|have] [it|i|you|we|the dough|this|they|there]
        [need|use|used|have|be|bake|baked|take|add|added|needed|want|wants|get|got|become|have to|
        suddenly] [now] {subject} [then|here|in it|so much|needed|necessary]
    why {subject}
    (explain|justify) [why] [the|to me] {subject}
    (what is|whats|what are) [the] {subject} (for|doing|good for|there for|in there for|do)
    what (do|does) [the] {subject} (do|bring|add|contribute) [here|in it|in this]
    (do|does) (i|it|we) (really|still|actually) need [the] {subject}
    (do|does) (i|it|we) need [the] {subject}
    is [the] {subject} (needed|necessary|really needed|really necessary|important|essential|required|there
        for a reason)
    how come {subject}
    what role does {subject} play
    (reason|reasons) for [the] {subject}
    what (happens|would happen) without {subject}
    how important is [the] {subject}
    what makes it {subject}
why:
    why
    why is that
    how come
    why not
    explain
    explain (that|this|it)
    really
    because
    why so
convert:
    (how much|how many grams|how many g|what|convert|how heavy|how many grams are in|how many grams is|how
        many ounces) [is|are|does|would] [in] {measure} [of] {ingredient} [in grams|in g|to grams|to g|
        weigh|in cups|in ounces|in spoons|into grams|in oz|to cups|in tablespoons|in weight]
    (convert|weigh) {measure} [of] {ingredient} [to|into|in] [grams|g|cups|ounces|tablespoons]
    {measure} [of] {ingredient} (in grams|in g|to grams|to g|into grams|in cups|in ounces|in oz|to cups|in
        tablespoons|in spoons|in tbsp)
    {measure} [of] {ingredient}
    what does {measure} [of] {ingredient} weigh
    how (much|many grams) (does|do) {measure} [of] {ingredient} weigh
convert-one:
    how (much|many grams|heavy|many g) (is|are|in) (a|one|1) {unit} [of] {ingredient}
    how much does (a|one) {unit} [of] {ingredient} weigh
    grams (in|per) [a|one] {unit} [of] {ingredient}
bake-muffins:
    [bake|make|bake it|make it|bake them|make them] [it|them] (as|into) [{n}] {muffins}
steam:
    [bake|bake it] (with|in|under) [some] steam [for] [the] [first] [{n} (min|mins|minutes)]
    steam [it|the oven] [for] [the] [first] [{n} (min|mins|minutes)]
    (with|use) [a] {n} (min|mins|minutes) [of] steam
    [with] [a] (tray|pan|cup|bowl) of water in the oven
oven-most:
    [my|the|our] oven (only|just) (goes|gets|reaches|goes up|gets up|manages) [up] [to] {heat}
    [my|the|our] oven (goes|gets|reaches) (no hotter than|no higher than|at most|only to|only up to) {heat}
    [my|the|our] oven (cant|cannot|wont|does not|doesnt) (go|get) (over|above|past|hotter than|higher than|beyond)
        {heat}
    [my|the|our] oven (stops at|ends at|tops out at|has a maximum of|is limited to) {heat}
bake:
    [but] [we are|were|i am|im|i bake|bake|baking|i live|we live|we bake|its|it is|baked|what if i bake|
        what about|what if|bake it|make it|bake them|bake this|i bake it|we bake it|what if i bake it] [up] [at] [an]
        [altitude of|elevation of] {altitude} [altitude|above sea
        level|up|elevation|high|of altitude]
    altitude [is|of] {altitude}
    elevation [is|of] {altitude}
    high altitude {altitude}
    [i|we|bake|bake it|baking|what if i bake it|what if i bake] [have|use|only have|with|in|in a|got] [a|
        an|my|the] {oven} [at {temperature}]
    [what if] [i] [bake|bake it|baking|make it|use|do it|can i bake it|could i bake it|i have] [in|on|with] [a|
        an|my|the|two|one] {material} [metal|baking] (tin|pan|mould|mold|form|tins|pans|moulds|molds|dish|
        bakeware) [at {temperature}]
    {material} (tin|pan|mould|mold|form|dish)
    (its|it is|my pan is|my tin is|the pan is|the tin is) [made of] {material}
    [what if] [i] [bake|bake it|baking|make it|use|do it|can i bake it|could i bake it|i have] [in|on|with] [a|
        an|my|the|one] [{material}] [{sides}|{litres}] [{material2}] {pan} [at {temperature}]
    [what if] [i] [bake|bake it|baking|make it|use|do it|can i bake it|could i bake it|i have] [in|on|with] [a|
        an|my|the|two|one] [{material}] ({sides}|{litres}) [{material2}] [metal|baking] (pan|mould|mold|form|
        bakeware) [at {temperature}]
    [bake|bake it|make it|what if i bake it] [it|them] as [a|an|one] {shape} (in|on|with) [a|an|my|the|one]
        [{material}] [{sides}|{litres}] [{material2}] ({pan}|pan|mould|mold|form) [at {temperature}]
    (what|whats) [is|do i|should i|must i|would i|would|will|has to] (changes|change|different|to change|be
        different|need to change) [up] [at|if i bake at|when i bake at|for|in] {altitude} [altitude|high|up]
    [bake it|make it|bake] [in] {n} [{material}] [{sides}|{litres}] [{material2}] {pan}
    [what if] [i] [bake|bake it|baking|oven] (at|to|is at|is) {temperature} [in a {oven}]
    (bake|make|shape|form|bake it|make it|shape it|what if i bake it|what if i make it) [it|them] (as|
        into|in) [a|an] {shape}
    (bake|make|shape|form|bake it|make it) [it|them] (as|into|in) {n} {shape}
    as [a|an] {shape}
    as {n} {shape}
    [bake] {temperature}
    {temperature} [oven]
    (set the oven to|oven at|oven to) {temperature}
fit:
    (does|will|would|do|can) (it|the dough|the batter|this|that|they|everything|all of it|the whole dough|all the
        dough) [all] (fit|go) [into|in|inside] [a|an|my|the|one|that|this] [{sides}|{litres}] ({pan}|pan|mould|mold|
        form|tin)
    (does|will|would) (it|the dough|the batter|this|everything) [all] fit
    (is|will) [the|my|a|an] [{sides}|{litres}] ({pan}|pan|mould|mold|form|tin) [be] (big|large) enough [for it|for
        the dough|for this]
    (is|will) [there] [be] too much dough [for|in] [the|my|a] [{sides}|{litres}] ({pan}|pan|mould|mold|form|tin)
    how full (is|will|does) [the|my|a|an] [{sides}|{litres}] ({pan}|pan|mould|mold|form|tin) [be|get]
    how full (do|should) i fill [the|my|a|an] [{sides}|{litres}] ({pan}|pan|mould|mold|form|tin)
    how much dough (fits|goes|will fit|fits in|goes in|fits into|goes into|will go into|for) [in|into] [a|an|my|the]
        [{sides}|{litres}] ({pan}|pan|mould|mold|form|tin)
    (will|does|would) it (overflow|run over|spill over)
    [what|which] (size|size of) (tin|pan) [do i need|does it need|should i use|is right]
schedule:
    [it] [i|we] [want|need|must|has|have|should] [it|them|to] [to] [be|have it|eat] [ready|done|out|on the
        table|served|finished|baked] (by|at|for|before) {time} [tomorrow|today|tonight|in the morning]
    (breakfast|dinner|lunch|supper|tea|serving|served) [is] (at|by) {time}
    ready {time}
    when (do|should|must) i start [for|to be ready by|to have it ready by|to eat at|if i want it by]
        {time}
    (serve|eat|eating|guests come|guests arrive) (at|by) {time}
save:
    save
    save (it|this|the recipe|that|changes|now)
    keep this
    keep it like this
    write it down
    store it
save-as:
    (save|keep|store) [it|this|the recipe|that] (as|under|to|under the name|called) {name}
    call (it|this) {name}
    name (it|this) {name}
    save {name}
    rename [it|this] [to|as] {name}
publish:
    (publish|export|print|make a card|make a label|make|write|create|hand out|share) [it|this|the recipe|
        a|an|me] [as|to|a|an|in] [a|an] {format} [file|card|version] [in {language}]
    (publish|export|print|share) [it|this|the recipe|a card|the card] [in {language}]
    (publish|export|translate) [it|this|the recipe] (in|to|into) {language} [as {format}]
    (make|print|write) [me] [a|the] (card|label|recipe card) [in {language}]
    translate (it|this) to {language}
    [the] {format} please
open:
    (open|load|switch to|go to|read|start with|work on|let us work on|take the recipe|use the recipe)
        [the|my] [recipe|file] [for|called] {name}
    (another|new) recipe {name}
    open {name}
    show [me] the {name} recipe
pantry:
    (i|we) [only|just|still|also] (have|have got|got) [only|just] [some|a lot of|plenty of] {things}
        [left|only|at home|in the house]
    (ive|weve) [only|just] got [only|some] {things}
    (in my pantry|in the pantry|in the cupboard|in my cupboard|my pantry|pantry|in the house|at home)
        [there is|there are|i have|are|is|has|we have] {things}
    (theres|there is|there are) [only|still|some] {things} [left|in the cupboard|in the house|in the
        pantry]
    (what i have|all i have) is {things}
use:
    [what if] [i] (use|using|try|take|put in|with|make it with|do it with|raise it with|bake it with|add|i
        have|i want|what if i use|what if i used|and with|prefer|id prefer|id rather use|rather)
        {substitute} [instead|for it|for that|in it|in its place|rather]
    {substitute} instead
    only {substitute}
    (can|could|may) (i|we) (use|take) {substitute}
    (will|would|does) {substitute} (work|do)
about:
    (what about|how about|and) {ingredient}
keep:
    [but] (keep|leave|dont change|do not change|dont touch) [the] {ingredient} [as it is|alone|in|in it]
    {ingredient} (stays|has to stay|must stay) [in|as it is|in it]
set:
    [and|but] (make|set|put|keep) [the] {ingredient} [to|at] {mass}
    [and|but] (use|put in) exactly {mass} [of] {ingredient}
    {ingredient} (fixed at|set to|exactly) {mass}
raised:
    [make it|have it|keep it] (raised|risen) (by|with) {raiser}
    {raiser} raised
nothing-new:
    [with|and] (nothing new|no new ingredients|nothing to buy)
    without (buying anything|anything new|new ingredients|buying anything new)
few-new:
    [with|and] (at most|no more than|max|up to|only) {n} (new|new ingredient|new ingredients|new things|new thing)
        [to buy]
only-have:
    [make it|bake it|do it|i want it] [with|from|using] [only|just|nothing but|only with|just with] (what
        (i have|we have|is there|there is|is in the house|is in the cupboard|ive got|i have got|is here)|
        whats (in the cupboard|in the house|here|there)|my cupboard|the cupboard|my pantry|the pantry)
    (i|we) can only use what (i|we) have
bakeable:
    what can (i|we) (bake|make) [today|now] (with|from|out of) (what (i have|we have|is in the cupboard|is in the
        house|is there|ive got|i have got|is in my cupboard|is in the pantry|i have in the cupboard|i have in
        the house)|whats (in the cupboard|in the house|in my cupboard|there)|my cupboard|the cupboard|my pantry)
    what can (i|we) (bake|make) [today|now]
    what can (i|we) (bake|make) [today|now] (with|from|out of) {things}
packet:
    (i have|i want to add|add|enter|type in|note|read|here is|heres|take) [a|the|my] [own] (label|packet) (of|for)
        [my|the|a] {thing}
    [i want to] (add|enter|note|put) (my|a new|an own|our|a) [own] {thing} (to|on|onto|on to) (my|the) shelf
    [add|enter] [a|an|my] (new|own) ingredient [called] {thing}
    (the|a) (label|packet) of my {thing}
    my {thing} (label|packet)
    [i have|ive got] my own {thing}
forget:
    forget [about] my [own] {thing}
    (take|remove|throw|clear) [my] {thing} (off|from|out of) (my|the) shelf
alone:
    {ingredient}
"""
