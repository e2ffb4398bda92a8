package kitchen

import (
	"time"

	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
)

// Dish is one recipe to be cooked.
type Dish struct {
	Name      string // as shown on the sheet; the recipe's title where empty
	Breakdown recipe.Breakdown
	// Serves is how many portions the recipe makes as written. Zero takes what
	// the recipe says; where it says nothing, amounts stay as written and the
	// list says so.
	Serves measure.Number
	// Bought lists components (by index) that are bought ready-made: their tasks
	// and ingredients go, a shopping line comes.
	Bought []int
	// Spare lists components (by index) for which half as much again is bought,
	// because they are easily spoiled.
	Spare []int
	// Tasks are the dish's tasks as the host has corrected them; nil takes what
	// Tasks derives from the breakdown.
	Tasks []Task
}

// Title is the name shown for the dish.
func (d Dish) Title() string {
	switch {
	case d.Name != "":
		return d.Name
	case d.Breakdown.Title != "":
		return d.Breakdown.Title
	}
	return "the dish"
}

// Kitchen is what there is to cook with. Counts are pieces; a piece holds one
// task at a time, but an oven holds Shelves.
type Kitchen struct {
	Burners int `json:"burners"`
	Ovens   int `json:"ovens"`
	Shelves int `json:"shelves"` // in each oven; 0 means 2
	// Others counts further machines by the names of pantry's equipment table:
	// "microwave", "deep fryer", "stand mixer", "food processor". A machine that
	// is not listed counts as there once, and the plan says so.
	Others map[string]int `json:"others,omitempty"`
}

// NewKitchen sorts a list of named things and how many there are of each, as
// the challenge's settings keep them, into a kitchen.
func NewKitchen(names []string, counts []int) Kitchen {
	k := Kitchen{Others: map[string]int{}}
	shelves := 0
	for i, name := range names {
		if st := stems(name); len(st) == 2 && st[0] == oven && (st[1] == stemKey("shelf") || st[1] == stemKey("shelves")) {
			shelves += counts[i]
			continue
		}
		switch machineOf(name) {
		case burner:
			k.Burners += counts[i]
		case oven:
			k.Ovens += counts[i]
		default:
			k.Others[machineOf(name)] += counts[i]
		}
	}
	if shelves > 0 { // of all ovens together
		k.Shelves = max(1, shelves/max(1, k.Ovens))
	}
	return k
}

// Service is several dishes for one serving time.
type Service struct {
	Dishes   []Dish
	Portions int       // of each dish
	Serve    time.Time // when the plates are on the table
	// Begin is the earliest moment at which work may start; zero means three
	// days before serving.
	Begin   time.Time
	Cooks   []string // names; at least one
	Kitchen Kitchen
	// Extras are tasks that belong to no dish: shopping, setting up a camera.
	Extras []Task
	// Nights is the time of day in which nobody works, as minutes after
	// midnight; zero means 22:00 to 07:00.
	NightFrom, NightTo int
	// Seed and Steps make a plan repeatable; Steps 0 means 60,000.
	Seed  uint64
	Steps int
}

// cooks returns the names, at least one.
func (s Service) cooks() []string {
	if len(s.Cooks) == 0 {
		return []string{"Cook"}
	}
	return s.Cooks
}
