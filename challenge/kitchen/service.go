package kitchen

import (
	"maps"
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
	// Kitchen is where it is cooked: what does not fit at once becomes batches
	// and trays. Plan sets it to the service's.
	Kitchen Kitchen
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
	// Sizes says how many portions one piece takes at once: "deep fryer",
	// "oven" (one shelf), "hob burner" (one pan of what is fried), "fridge",
	// "freezer". What is not listed takes what the recipe makes as written, and
	// room in the cold is not counted.
	Sizes map[string]int `json:"sizes,omitempty"`
}

// Piece is one line of a kitchen's list.
type Piece struct {
	Name  string
	Count int
	Holds int // portions that one of it takes at once; 0: not said
}

// NewKitchen sorts a list of named things, as the challenge's settings keep
// them, into a kitchen.
func NewKitchen(pieces []Piece) Kitchen {
	k := Kitchen{Others: map[string]int{}, Sizes: map[string]int{}}
	shelves := 0
	for _, p := range pieces {
		name := p.Name
		if st := stems(name); len(st) == 2 && st[0] == oven && (st[1] == stemKey("shelf") || st[1] == stemKey("shelves")) {
			shelves += p.Count
			k.size(oven, p.Holds)
			continue
		}
		k.size(machineOf(name), p.Holds)
		switch machineOf(name) {
		case burner:
			k.Burners += p.Count
		case oven:
			k.Ovens += p.Count
		default:
			k.Others[machineOf(name)] += p.Count
		}
	}
	if shelves > 0 { // of all ovens together
		k.Shelves = max(1, shelves/max(1, k.Ovens))
	}
	return k
}

// With is the kitchen with some pieces said anew, and others as they are.
func (k Kitchen) With(pieces []Piece) Kitchen {
	more := NewKitchen(pieces)
	k.Others, k.Sizes = maps.Clone(k.Others), maps.Clone(k.Sizes)
	maps.Copy(k.Others, more.Others)
	maps.Copy(k.Sizes, more.Sizes)
	if more.Burners > 0 {
		k.Burners = more.Burners
	}
	if more.Ovens > 0 {
		k.Ovens = more.Ovens
	}
	if more.Shelves > 0 {
		k.Shelves = more.Shelves
	}
	return k
}

// size notes how much a piece takes; of several sizes the smallest counts,
// because nobody knows beforehand which one a task gets.
func (k Kitchen) size(name string, holds int) {
	if was := k.Sizes[name]; holds > 0 && (was == 0 || holds < was) {
		k.Sizes[name] = holds
	}
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
