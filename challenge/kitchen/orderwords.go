package kitchen

import "slices"

// Words by which a step says where it belongs among the others; common
// practice, no source.
var (
	// knifeWork are verbs that prepare what they name for other work.
	knifeWork = []string{"cut", "chop", "slice", "dice", "peel", "grate", "mince", "shred", "trim", "wash", "rinse", "zest", "julienne", "cube", "prep",
		"juice", "core", "pit", "crush", "strip"}
	// ownWork are more verbs that concern only what they name.
	ownWork = []string{"drain", "mash", "remove", "take", "squeeze", "pound"}
	// starters begin a piece of work beside the verbs of pantry's table.
	starters = append([]string{"add", "cook", "make", "prepare", "start", "crack", "separate", "open", "empty", "halve", "quarter", "dissolve", "get", "fill", "bring",
		"clean", "pat", "heat", "cream", "roll", "place", "put", stemKey("cooking")}, slices.Concat(knifeWork, ownWork)...)
	// goers are verbs of the table that always go on with something.
	goers = []string{"stir", "fold", "deglaze", "thicken", "reduce", "baste", "glaze", "garnish", "serve", "top", "cover", "return", "pour", "let", "press", "knead",
		"increase", "turn", "lower", "raise", "adjust", "continue", "keep", "leave", "check", "taste", "flip", "repeat", "simmer", "cool"}
	// intoPot are verbs that put something to what is cooking already.
	intoPot = []string{"add", "stir", "pour", "fold"}
	// intoOld are verbs that begin something only in a vessel that is new.
	intoOld = []string{"place", "put", "add"}
	// finishers bring everything together.
	finishers = []string{"serve", "assemble", "plate"}
	// sequels are first words of a step that waits for what they say.
	sequels = []string{"once", "when", "after", "until", "if", "finally"}
	// otherParts are words before the part of a food that was not used before.
	otherParts = []string{"remaining", "rest", "more", "other", "additional", "extra", "another", "second"}
	// pronouns mean what came before.
	pronouns = []string{"it", "them", "they", stemKey("this"), "these", "everything"}
	// madeThings are words for what steps make.
	madeThings = []string{"dough", "batter", "sauce", "dressing", "marinade", "mixture", "filling", "topping", "glaze", "icing", "frosting", "crust", "roux",
		"paste", "slurry", "gravy", "custard", "syrup", "crumble", "ball", "patty", "rub", "pickle", "salad"}
	// cuts are words for what a knife makes.
	cuts = []string{"slice", "cube", "strip", "round", "wedge", "piece", "chunk"}
	// finished are words for whole dishes, where no ingredient is one.
	finished = []string{"bread", "cake", "pie", "loaf", "cookie", "biscuit", "bun", "pancake", "muffin", "soup", "stew", "curry", "burger", "meatball", "pizza", "tart",
		"quiche", "pastry"}
	// mixing are verbs that make a mixture.
	mixing = []string{"mix", "combine", "whisk", "beat", "blend", "stir"}
	// classes are words for all foods of an aisle.
	classes = map[string]string{"vegetable": "fresh vegetables", "veggie": "fresh vegetables", "veggy": "fresh vegetables", "veg": "fresh vegetables",
		"meat": "meat and poultry", "spice": "spices, salt and dried herbs", "seasoning": "spices, salt and dried herbs"}
	// faint are foods that tie no step to another: they are in everything.
	faint = []string{"salt", "pepper", "water", "oil", "butter", "sugar"}
	// ownBowl are words before a vessel that was not there before.
	ownBowl = []string{"a", "another", "separate", "big", "large", "small", "medium", "mixing", "second", "clean", "different"}
	// openers stand before the verb.
	openers = []string{"first", "next", "then", "now", "start", "begin", "by"}
	// nounMarks are words after which no word is a verb.
	nounMarks = []string{"the", "a", "an", "your", "over", "medium", "low", "high", "is", "are"}
	// objectEnds are words behind which no food is what the verb is about.
	objectEnds = []string{"until", "for", "from", "over", "with", "so", "if", "when", "while", "into", "onto", "to", "in"}
	// vesselMarks are the words that tell a vessel that was there from a new one.
	oldVessel   = []string{"the", "same", "in", "into", "to", "from", "of", "on", "onto", "your", "each"}
	vesselMarks = slices.Concat(oldVessel, ownBowl)
)
