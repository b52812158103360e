"""Plain words that a passphrase is made of: short, easy to say, easy to type with a thumb."""

_LIST = """
acorn acre actor adder adobe afloat agate agenda air alarm album alder algae alley almond alpine
amber anchor angle ankle antler anvil apple apron arch arena ark arrow ash aspen aster atlas
attic aunt autumn award awning axle bacon badge badger bag bagel baker ball ballad bamboo banana
band banjo bank banner bar barge bark barley barn barrel basil basin basket bat bath baton bay
beach bead beaker beam bean bear beard beaver bed bee beech beet beetle bell belt bench berry
bike birch bird biscuit bison blade blanket blaze blimp block bloom blossom blouse boat bobbin bolt
bone bonnet book boot border bottle boulder bow bowl box bracket braid brake bramble branch brass
bread breeze brick bridge brook broom broth brush bubble bucket buckle bud buffalo bugle bulb bull
bundle bunny buoy burrow bush butter button cabbage cabin cable cactus cake calf camel camera camp
canal canary candle candy cane cannon canoe canvas canyon cap cape captain car carbon card cargo
carpet carrot cart cashew castle cat cattle cave cedar celery cellar cello cement chain chair chalk
chapel charm cheese cherry chest chick chime chin chisel choir cider cinder circle circus city clam
clamp clay clerk cliff cloak clock cloth cloud clove clover coach coal coast coat cobalt cobra
cocoa coconut cod coffee coil coin colt column comb comet cook copper coral cord cork corn corner
cottage cotton couch cousin cow coyote crab cradle craft crane crate crater crayon cream creek
crest cricket crocus crop crow crown cruise crumb crust crystal cube cup curb curtain cushion cycle
cymbal daisy dam dance dash date dawn day deck deer delta den denim depot desert desk dew dial
diary dice diesel dime dinner disc dish ditch diver dock dog dollar dome donkey door dough dove
dragon drain drawer dream dress drift drill drum duck dune dust eagle ear earth easel east echo eel
egg elbow elder elk elm ember emerald engine envoy equal estate evening fabric falcon family fan
farm fawn feast feather fence fern ferry fiddle field fig film finch finger fir fire fish flag
flame flask flax fleece flint float flock flour flower flute foam fog folder forest fork fossil
fountain fox frame freight friend frog frost fruit funnel galaxy gallery garage garden garlic
garnet gate gecko ginger giraffe glacier glass globe glove glue goat gold goose gorge grain granite
grape grass gravel gravy grill grove guitar gulf gull gutter hail hammer hammock hamster hand
handle hare harness harp harvest hat hatch hawk hay hazel head heart heather hedge heel
helmet hen herald herb heron hill hinge hippo hive hobby holly honey hood hoof hook horizon horn
horse hose hotel house hull hut ice icicle igloo inch ink inlet iris iron island ivory ivy jacket
jaguar jam jar jasmine jelly jersey jewel jigsaw judge jug juice jungle juniper kayak kennel kernel
kettle key kiln king kiosk kitchen kite kitten kiwi knee knight knot koala label lace ladder ladle
lagoon lake lamb lamp lantern lapel larch lark laurel lava lawn leaf leather ledge leek lemon lens
lentil leopard letter lever library lid lilac lily lime linen lion lizard lobby lobster locket
locust log lotus lumber lunch lute lynx magnet magpie mallet mango manor mantle map maple marble
march market maroon mast mat meadow medal melody melon memo mentor menu merchant metal meteor
midday milk mill miner mint mirror mist mitten moat model mole moon moose morning mosaic moss moth
motor mountain mouse muffin mug mulberry mule museum music mussel mustard napkin narrow nation
needle nest net nettle nickel night noodle north notch novel nugget number nurse nutmeg oak oar
oasis oat ocean octave office olive omelet onion opal opera orange orbit orchard orchid organ
osprey ostrich otter oval oven owl oyster paddle page pail paint palace palm pan panda panel pansy
panther paper parade parcel park parrot parsley pasta paste pasture patch path patio paw pea peach
peacock peanut pear pearl pebble pelican pen pencil pepper perch petal phone piano pickle picnic
pier pigeon pillar pillow pilot pin pine pipe pitcher pizza plain planet plank plate plaza plum
plume pocket poem pond pony poplar poppy porch port postage potato potter pottery powder prairie
prism puddle puffin pulley pulse pump pumpkin puppet puppy purple purse puzzle quail quarry quartz
queen quill quilt quince rabbit radar radio radish raft rail rain raisin rake ranch raven reed reef
relay ribbon rice ridge ring river road robin robot rock rocket roof room root rope rose rowboat
ruby rudder rug runner rust saddle saffron sage sail salad salmon salt sand sandal sapphire satin
sauce saucer sauna scale scarf school scooter seal season seat seed shadow shamrock shark shawl
sheep shelf shell shelter shield ship shirt shoe shore shovel shower shrimp signal silk silver
sister skate sketch ski skillet sky sled sleet sleeve slope snail snow soap sock soda sofa soil
solar song soup south spade spark sparrow spice spider spinach spiral splash sponge spoon spring
spruce square squash squid stable stadium stage stair stamp star statue steam steel stem step stew
stone stool stork storm stove straw stream street string studio sugar suit summer sun sunset surf
swallow swan sweater swift swing syrup table tailor talon tango tape tavern tea teapot teller
temple tennis tent thimble thistle thread throne thumb thunder ticket tide tiger tile timber toast
token tomato tongs tool topaz torch tower town toy track tractor trail train tram tray tree trellis
trout truck trumpet trunk tulip tuna tundra tunnel turkey turnip turtle tweed twig twine usher
uncle valley van vase velvet verse vessel vest village vine vinyl viola violet violin vista vole
voyage wagon waist walnut walrus waltz water wave wax weasel week well west whale wharf wheat wheel
whisker whistle willow wind window wing winter wolf wool word wren wrist yacht yard yarn year
zebra zenith zinc zipper
"""

WORDS: tuple[str, ...] = tuple(_LIST.split())
