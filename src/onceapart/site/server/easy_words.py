"""Words that are short, easy to spell and hard to mistake, for passphrases that are made by chance."""

_WORDS = """
acorn album alder amber anchor angle ankle apple april apron arrow aspen atlas attic august autumn axle
badge bagel baker ball bamboo banana band bank barrel basil basin basket beach beacon bean bell belt
bench berry bicycle birch bird biscuit blanket bobbin bolt bonnet book boot bottle bowl box bracket
branch brass bread brick bridge broom brush bucket bulb butter button cable cactus camel camera candle
canvas carbon carpet carrot castle cedar cellar chain chair chalk cherry chess chisel cider circle clay
clock cloud clover coal coast cobalt cocoa coffee coin comb compass cone copper coral cork corn cotton
crane crayon cricket crystal cup curtain cushion daisy desk dinner dish dock door drum duck dune eagle
east echo elbow elm engine ferry fiddle field finch flag flint flute forest fork fox frame frost funnel
galaxy garden garlic gate ginger glass globe glove goose grape gravel guitar hammer harbour harp hazel
heron hinge honey hook horn igloo ink iron island ivory ivy jacket jar jelly jigsaw juniper kettle key
kitchen kite ladder lake lamp lantern larch lemon lever lilac linen lion lock loom magnet mango maple
marble meadow melon mill mint mirror mitten moon moss motor mug nail napkin needle nest nickel north nut
oak oar ocean olive onion orange otter oven owl paddle paint panda paper park parsley peach pear pebble
pencil pepper piano pillow pine pipe plum pocket pond poplar potato puzzle quarry quilt rabbit radish
rail rain raven ribbon river robin rocket roof rope rose ruler saddle sail salmon salt sand spoon spring
table
"""
EASY_WORDS: tuple[str, ...] = tuple(_WORDS.split())
