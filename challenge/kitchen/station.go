package kitchen

import (
	"slices"

	"fairladle/challenge/pantry"
	"fairladle/challenge/wording"
)

// The stations of a prep list, in the order in which they are worked through.
var stations = []string{
	wording.Key("Thaw"), wording.Key("Soak"), wording.Key("Soften"), wording.Key("Wash and drain"), wording.Key("Cut"), wording.Key("Have ready"), wording.Key("Other work"),
}

// stationWords say which station a preparation belongs to; what names several
// goes to the first.
var stationWords = []struct {
	station string
	words   []string
}{
	{"Thaw", []string{"thawed", "thaw", "defrosted"}},
	{"Soak", []string{"soaked", "soak", "hydrated", "rehydrated"}},
	{"Soften", []string{"soft", "softened", "temperature", "tempered"}},
	{"Cut", []string{"quartered", "halved", "sliced", "chopped", "diced", "cubed", "shredded", "grated", "minced", "crushed", "peeled", "trimmed", "zested", "juiced",
		"cut", "torn", "julienned", "cored", "pitted", "seeded", "deseeded", "deboned", "scored", "ground", "separated", "beaten", "picked", "stripped", "crumbled"}},
	{"Wash and drain", []string{"washed", "rinsed", "drained", "dried", "patted", "sifted", "strained"}},
	{"Have ready", []string{"cooked", "boiled", "toasted", "roasted", "fried", "melted", "baked", "blanched", "poached", "steamed", "browned", "warmed", "warm", "hot", "chilled", "cold"}},
}

// stationOf is where a preparation is done.
func stationOf(preparation string) string {
	words := stems(preparation)
	for _, s := range stationWords {
		if slices.ContainsFunc(s.words, func(w string) bool { return slices.Contains(words, stemKey(w)) }) {
			return s.station
		}
	}
	for _, w := range words {
		if v, ok := pantry.FindVerb(w); ok && v.Kind == "hands" {
			return "Cut"
		}
	}
	return "Other work"
}

// A Tool is a piece of equipment that is not planned by the minute, and the
// components that take one.
type Tool struct {
	Name      string
	Container bool
	For       []string // dish, or dish and component
}

var containers = []string{"bowl", "pan", "frying pan", "saucepan", "pot", "dutch oven", "wok", "baking sheet", "baking dish", "baking tin", "casserole dish", "cake tin",
	"loaf tin", "muffin tin", "pie dish", "springform tin", "roasting tin", "ramekins", "jar", "double boiler", "steamer", "oven-proof dish", "cooling rack"}

// notTools are words of the equipment table that are no tool to lay out.
var notTools = []string{oven, burner, fridge, freezer, "oven grill", "pizza oven", "scale", "toaster oven"}

// tools lists what the steps of the dishes name, each once for a component that
// takes it.
func tools(dishes []Dish) []Tool {
	var list []Tool
	for _, d := range dishes {
		for c, comp := range d.Breakdown.Components {
			if slices.Contains(d.Bought, c) {
				continue
			}
			who := d.Title()
			if comp.Name != "" {
				who += ", " + comp.Name
			}
			for _, st := range comp.Steps {
				for _, e := range st.Equipment {
					list = addTool(list, e, who)
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Tool) int {
		if a.Container != b.Container {
			if a.Container {
				return -1
			}
			return 1
		}
		return len(b.For) - len(a.For)
	})
	return list
}

func addTool(list []Tool, name, who string) []Tool {
	if slices.Contains(notTools, name) {
		return list
	}
	i := slices.IndexFunc(list, func(t Tool) bool { return t.Name == name })
	if i < 0 {
		return append(list, Tool{name, slices.Contains(containers, name), []string{who}})
	}
	if !slices.Contains(list[i].For, who) {
		list[i].For = append(list[i].For, who)
	}
	return list
}
