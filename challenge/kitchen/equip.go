package kitchen

import (
	"slices"
	"strings"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// What a step takes and whether it holds the cook, read from its words. The
// lists are common practice, no source; testdata/steps.tsv says how often they
// are right.
var (
	hobVessels  = []string{"frying pan", "saucepan", "pot", "wok", "dutch oven", "pressure cooker"}
	ovenVessels = []string{"baking sheet", "baking tray", "baking dish", "baking tin", "tin", "loaf tin", "muffin tin", "roasting tin", "cake tin"}
	// onTheHob are words with which a step goes on in the pan of the one before.
	onTheHob = []string{"add", "pan", "pot", "heat", "cook", "simmer", "boil", "stir", "return", "stove"}
	// offTheHob are first words that leave the pan.
	offTheHob = []string{"remove", "serve", "transfer", "drain", "chop", "cut", "slice", "dice", "peel", "plate", "garnish", "combine", "whisk", "adjust"}
	// notVerbs are words that only look like work on the hob where a certain
	// word follows.
	notVerbs = map[string][]string{"brown": {"sugar", "rice", "bread", "lentil", "flour", "butter"}, "melt": {"butter"},
		"warm": {"water", "milk", "place", "spot", "location", "room", "environment", "filtered", "flour", "tortilla", "oven"}}
)

// machineFor is the one piece of equipment of a step that a plan counts: the
// oven before a machine, a machine before a burner. before is the machine of
// the step before, tray tells whether the food lies on something for the oven.
func machineFor(st recipe.Step, before string, tray bool) string {
	words := stems(st.Text)
	hob, inOven := hobWords(words)
	best := ""
	for _, e := range st.Equipment {
		switch {
		case e == oven || e == "oven grill", e == "grill" && before == oven:
			return oven
		case e == "spice grinder" || counted[e] && e != "grill" && e != "smoker":
			best = e
		case counted[e] && machineWord(words, e):
			best = e
		case slices.Contains(hobVessels, e):
			hob = true
		}
	}
	switch {
	case best != "":
		return best
	case inOven, tray && slices.Contains(words, "cook") && !hob:
		return oven
	case hob, before == burner && staysOnHob(words):
		return burner
	}
	return ""
}

// machineWord tells whether an outdoor machine is meant and not a sauce: its
// word does not stand before one.
func machineWord(words []string, machine string) bool {
	for i := range words {
		name, _ := pantry.Equipment(words[i:min(len(words), i+2)])
		if name == machine && (i+1 >= len(words) || !slices.Contains([]string{"sauce", "rub", "seasoning", "flavor"}, words[i+1])) {
			return true
		}
	}
	return false
}

// boiled are foods that are cooked in a pot where a recipe says no more.
var boiled = []string{"noodle", "pasta", "spaghetti", "rice", "macaroni", "lentil"}

// hobWords finds verbs of the hob and of the oven, and "over medium heat".
func hobWords(words []string) (hob, inOven bool) {
	for i, w := range words {
		if (w == "cook" || w == stemKey("cooking")) && oneOf(words[i+1:min(i+3, len(words))], boiled...) {
			hob = true
		}
		if w == "heat" && vesselNear(words, i) {
			hob = true
		}
		inOven = inOven || w == "gratin"
		if w == "heat" && i > 0 && slices.Contains([]string{"low", "medium", "high", "gentle"}, words[i-1]) {
			hob = true
		}
		v, ok := pantry.FindVerb(w)
		if !ok || v.Kind != "heat" || w == "temper" && towardsSoft(words) || w == "fry" && i > 0 && words[i-1] == "french" {
			continue
		}
		if i+1 < len(words) && slices.Contains(notVerbs[w], words[i+1]) {
			continue
		}
		switch v.Equipment {
		case oven:
			inOven = inOven || v.Verb != "preheat"
		case burner, "hob burner or fryer", "hob burner or oven":
			hob = true
		}
	}
	return hob, inOven
}

// vesselNear tells whether a pan or pot is heated: it stands within a few words
// of the verb, on either side.
func vesselNear(words []string, at int) bool {
	for i := max(0, at-6); i < min(len(words), at+7); i++ {
		if v := vesselAt(words, i); v == "pan" || v == "pot" {
			return true
		}
	}
	return false
}

// towardsSoft tells whether "temper" means to let something frozen soften, and
// not chocolate or eggs over heat.
func towardsSoft(words []string) bool {
	return slices.ContainsFunc([]string{fridge, stemKey("refrigerator"), freezer, "scoop", "soften", stemKey("scooping")}, func(w string) bool {
		return slices.Contains(words, w)
	})
}

func staysOnHob(words []string) bool {
	if len(words) == 0 || slices.Contains(offTheHob, words[0]) {
		return false
	}
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(onTheHob, w) })
}

// onTray tells whether a step puts the food on something for the oven.
func onTray(st recipe.Step) bool {
	if slices.ContainsFunc(st.Equipment, func(e string) bool { return slices.Contains(ovenVessels, e) }) {
		return true
	}
	words := stems(st.Text)
	for i := 1; i < len(words); i++ {
		if (words[i] == "sheet" || words[i] == "pan" || words[i] == "tray" || words[i] == "dish") &&
			slices.Contains([]string{"cookie", stemKey("baking"), "bake", "cupcake", "muffin", "cake", "loaf"}, words[i-1]) {
			return true
		}
	}
	return false
}

// leaveAlone is from how many minutes on food that simmers or bakes is not
// watched all the time.
const leaveAlone = 5

// cookAlone is from how many minutes on what simply cooks is only looked in on.
const cookAlone = 15

// longAlone is from how many minutes on nobody stands beside anything.
const longAlone = 45

// oftenNouns are waits whose words mostly mean something else where no time is
// given ("the rest of the oil", "set aside", "pat dry").
var oftenNouns = []string{"dry", "rest", "set", "stand", "drain", "salt", "cure", "proof"}

// standBy are verbs of the hob that nobody walks away from.
var standBy = append([]string{"sear", "saute", "brown", "caramelize", "temper", "scramble", "flambe"}, fryVerbs...)

// attention says whether a step of that length holds the cook.
func attention(st recipe.Step, minutes int, given bool, machine string) recipe.Attention {
	if st.Overnight {
		return recipe.Unattended
	}
	if minutes < leaveAlone {
		return recipe.Attended
	}
	words := stems(st.Text)
	if machine == burner && minutes < longAlone && verbIn(st.Text, standBy) {
		return recipe.Attended
	}
	wait, part, oven := false, false, machine == oven
	for _, w := range words {
		wait = wait || (given && (w == "sit" || w == "leave" && machine == "" || w == fridge || w == freezer || w == stemKey("refrigerator")))
		v, ok := pantry.FindVerb(w)
		if !ok {
			continue
		}
		if v.Kind == "wait" && strings.HasSuffix(w, "ed") {
			continue // "marinated steaks" are no waiting
		}
		sure := given || !slices.Contains(oftenNouns, v.Verb)
		wait = wait || (v.Kind == "wait" && sure) || (v.Attended == "no" && v.Kind == "heat" && v.Verb != "preheat")
		part = part || v.Attended == "part"
	}
	part = part || slices.Contains(words, stemKey("occasionally")) || machine == burner && minutes >= cookAlone && slices.Contains(words, "cook")
	switch {
	case slices.Contains(words, "constantly") || slices.Contains(words, stemKey("constantly")) || slices.Contains(words, stemKey("continuously")):
		return recipe.Attended
	case oven && (given || wait), wait && !part:
		return recipe.Unattended
	case part && given && machine == burner:
		return recipe.Part
	case st.Attended != recipe.Attended:
		return st.Attended
	case part && given, given && minutes >= longAlone:
		return recipe.Part
	}
	return recipe.Attended
}

// inBatches tells whether a pan or machine takes only so much at a time: frying
// does, simmering in a larger pot does not.
func inBatches(t Task) bool {
	switch t.Machine {
	case "deep fryer", "waffle iron", "griddle", "grill", "toaster":
		return true
	case burner:
		return slices.ContainsFunc(stems(t.Text), func(w string) bool {
			v, ok := pantry.FindVerb(w)
			return ok && (v.Verb == "sear" || slices.Contains(fryVerbs, v.Verb))
		})
	}
	return false
}
