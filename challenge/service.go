package challenge

import (
	"slices"
	"strings"
	"time"

	"fairladle/challenge/kitchen"
	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// Limits of what is typed about a service.
const (
	MaxPortions = 500
	MaxCooks    = 12
	maxTasters  = 60
)

// A Service is what a host decides about cooking the dishes of a round for one
// serving time. The plan is computed from it; corrections of tasks lie in it.
type Service struct {
	Serve    time.Time `json:"serve"`
	Begin    time.Time `json:"begin"` // the earliest work, set when the plan is made
	Portions int       `json:"portions"`
	Cooks    []string  `json:"cooks"`
	// Shop and Camera are minutes for shopping and for setting up the camera; 0
	// leaves them out.
	Shop   int `json:"shop,omitempty"`
	Camera int `json:"camera,omitempty"`
	// Photo and Carry are minutes between the last plate and the table, for a
	// photograph and for the way.
	Photo int `json:"photo,omitempty"`
	Carry int `json:"carry,omitempty"`
	// Kitchen is where this service is cooked; nil takes the challenge's.
	Kitchen []Equipment      `json:"kitchen,omitempty"`
	home    []Equipment      // the challenge's
	Dishes  []ServiceDish    `json:"dishes"`
	Tasters []kitchen.Taster `json:"tasters,omitempty"`
	// Of the shopping list, by name: what is there already, how many days it
	// takes to arrive, what it costs (in hundredths of whatever money is used).
	Have   []string       `json:"have,omitempty"`
	Arrive map[string]int `json:"arrive,omitempty"`
	Prices map[string]int `json:"prices,omitempty"`
	// Currency is written beside prices: "EUR", "£".
	Currency string `json:"currency,omitempty"`
}

// A ServiceDish is one dish of a service, with what the host corrected.
type ServiceDish struct {
	Dish    int64    `json:"dish"`
	Version int      `json:"version"`
	Out     bool     `json:"out,omitempty"`    // not cooked this time
	Serves  int      `json:"serves,omitempty"` // portions as written; 0: what the recipe says
	Bought  []int    `json:"bought,omitempty"` // components bought ready-made
	Spare   []int    `json:"spare,omitempty"`  // components with half as much again bought
	Film    []string `json:"film,omitempty"`   // tasks that are filmed
	Wash    []string `json:"wash,omitempty"`   // tasks after which is washed up, because things are needed again
	// For is the number of portions for which Tasks were corrected; 0 where a
	// service was kept before that was noted.
	For int `json:"for,omitempty"`
	// Tasks are all tasks as corrected, those of bought components too; nil
	// while nothing was corrected.
	Tasks []kitchen.Task `json:"tasks,omitempty"`
}

// A Written is a dish's recipe as a service reads it.
type Written struct {
	Dish    int64
	Version int
	Name    string
	Reading recipe.Breakdown
}

// Check refuses what cannot be planned at now.
func (s Service) Check(now time.Time) error {
	var bad Refusals
	switch {
	case s.Serve.IsZero():
		bad.Add("serve", "Say when the plates are on the table.")
	case !s.Serve.After(now):
		bad.Add("serve", "This serving time has passed.")
	case s.Serve.After(now.AddDate(1, 0, 0)):
		bad.Add("serve", "The serving time is more than a year away.")
	}
	if s.Portions < 1 || s.Portions > MaxPortions {
		bad.Add("portions", "Say for how many tasters you cook: a number from 1 to 500.")
	}
	s.checkCooks(&bad)
	for _, m := range []int{s.Shop, s.Camera, s.Photo, s.Carry} {
		if m < 0 || m > 24*60 {
			bad.Add("shop", "These minutes must lie between 0 and 1440.")
			break
		}
	}
	checkKitchen(s.Kitchen, &bad)
	if len(s.Currency) > 8 {
		bad.Add("currency", "Write the currency in a few letters, such as EUR or £.")
	}
	if !slices.ContainsFunc(s.Dishes, func(d ServiceDish) bool { return !d.Out }) {
		bad.Add("dish", "Choose at least one dish.")
	}
	for _, d := range s.Dishes {
		if d.Serves < 0 || d.Serves > 1000 {
			bad.Add("dish", "Say how many portions a recipe makes: 1 to 1000, or leave it empty.")
			break
		}
	}
	if len(s.Tasters) > maxTasters {
		bad.Add("tasters", "These are more tasters than fit on a page.")
	}
	return bad.Err()
}

func (s Service) checkCooks(bad *Refusals) {
	if len(s.Cooks) == 0 || len(s.Cooks) > MaxCooks {
		bad.Add("cooks", "Name one to twelve cooks, one on each line.")
		return
	}
	for i, c := range s.Cooks {
		if len(c) > MaxName || slices.Contains(s.Cooks[:i], c) {
			bad.Add("cooks", "Give every cook a short name of their own.")
			return
		}
	}
}

// Cover brings the service's dishes in step with the recipes that are there: new
// ones are added at the end, and corrections of an older version are dropped,
// because they belong to other words. home is the challenge's kitchen.
func (s *Service) Cover(recipes []Written, home []Equipment) {
	s.home = home
	s.Dishes = slices.Clone(s.Dishes)
	for _, w := range recipes {
		i := s.dish(w.Dish)
		if i < 0 {
			s.Dishes = append(s.Dishes, ServiceDish{Dish: w.Dish, Version: w.Version})
		} else if s.Dishes[i].Version != w.Version {
			s.Dishes[i] = ServiceDish{Dish: w.Dish, Version: w.Version, Out: s.Dishes[i].Out, Serves: s.Dishes[i].Serves}
		}
	}
	s.Dishes = slices.DeleteFunc(s.Dishes, func(d ServiceDish) bool { return !slices.ContainsFunc(recipes, d.is) })
}

func (d ServiceDish) is(w Written) bool { return d.Dish == w.Dish }

func (s Service) dish(id int64) int {
	return slices.IndexFunc(s.Dishes, func(d ServiceDish) bool { return d.Dish == id })
}

// Cooked are the dishes that are cooked, in the order in which the run sheet
// numbers them.
func (s Service) Cooked() []ServiceDish {
	return slices.DeleteFunc(slices.Clone(s.Dishes), func(d ServiceDish) bool { return d.Out })
}

// ReadTasters reads one taster a line, "Seat 2: milk, hazelnuts": the words that
// recipes are searched for, or the names of the allergens.
func ReadTasters(text string) ([]kitchen.Taster, error) {
	var bad Refusals
	var list []kitchen.Taster
	for line := range strings.Lines(text) {
		name, words, ok := strings.Cut(strings.TrimSpace(line), ":")
		if name == "" && !ok {
			continue
		}
		if !ok || name == "" {
			bad.Add("tasters", "Write a name, a colon and what was declared, such as “Seat 2: milk, egg”.")
			break
		}
		t := kitchen.Taster{Name: strings.TrimSpace(name)}
		for w := range strings.SplitSeq(words, ",") {
			if w = strings.TrimSpace(w); w == "" {
				continue
			}
			found := allergensIn(w)
			if len(found) == 0 {
				bad.Add("tasters", "“%v” is not among the allergens that recipes are searched for. These are: %v.", w, strings.Join(allergenNames(), ", "))
			}
			t.Allergens = append(t.Allergens, found...)
		}
		slices.Sort(t.Allergens)
		t.Allergens = slices.Compact(t.Allergens)
		list = append(list, t)
	}
	return list, bad.Err()
}

func allergensIn(word string) []string {
	word = strings.ToLower(word)
	if slices.Contains(allergenNames(), word) {
		return []string{word}
	}
	var names, stems []string
	for _, w := range pantry.Words(word) {
		stems = append(stems, pantry.Stem(w))
	}
	for _, h := range pantry.Allergens(nil, stems) {
		names = append(names, h.Allergen)
	}
	return names
}

func allergenNames() []string {
	var names []string
	for _, l := range pantry.AllergenLists() {
		names = append(names, l.Allergen)
	}
	return names
}
