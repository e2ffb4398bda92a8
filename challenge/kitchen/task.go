package kitchen

import (
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// Kind says what sort of work a task is.
type Kind string

// The kinds of task.
const (
	Prep  Kind = "prep"  // weigh, cut, thaw
	Cook  Kind = "cook"  // a step of the method that somebody does
	Wait  Kind = "wait"  // baking, rising, chilling: the food is busy
	Plate Kind = "plate" // on the plate, at the end
	Other Kind = "other" // shop, film, carry, wash up
)

// Where a task's minutes come from, where no table gave them.
const (
	FromRecipe = "the recipe"
	FromHost   = "the host"
	FromLog    = "the cook's log"
)

// NoLimit stands for a wait without a largest length.
const NoLimit = -1

// Link says that a task starts after another has ended: at least Min minutes
// later, at most Max (NoLimit: any time). Soft limits of quality are on the task
// (Holds), not here.
type Link struct {
	ID  string `json:"id"`
	Min int    `json:"min,omitempty"`
	Max int    `json:"max"`
}

// Task is one piece of work on the plan. The host may change every field.
type Task struct {
	ID        string           `json:"id"` // unique within its dish: "c1.s2" is component 1, step 2
	Component int              `json:"component"`
	Name      wording.Sentence `json:"name"`           // a few words: "Bake"
	Text      string           `json:"text,omitempty"` // the recipe's own words
	Kind      Kind             `json:"kind"`
	Minutes   int              `json:"minutes"`
	Guess     bool             `json:"guess,omitempty"`  // the recipe does not say how long
	Source    string           `json:"source,omitempty"` // where the duration comes from
	Attended  recipe.Attention `json:"attended"`
	Machine   string           `json:"machine,omitempty"` // one counted machine, by its name
	OvenC     int              `json:"oven_c,omitempty"`  // degrees Celsius, to the nearest ten
	After     []Link           `json:"after,omitempty"`
	// Holds is how many minutes what the task makes keeps its quality before
	// the next task uses it, or NoLimit.
	Holds     int  `json:"holds"`
	HoldGuess bool `json:"hold_guess,omitempty"`
	// Ahead says that the task may be done on an earlier day.
	Ahead bool `json:"ahead,omitempty"`
	// Cue is the full number of a task that starts right after this one (a shot
	// to film); empty for none. Only for tasks of kind Other.
	Cue      string `json:"cue,omitempty"`
	Delicate bool   `json:"delicate,omitempty"` // there should be time to make it again
	// Batches says in how many runs the machine or pan must take it, one after
	// the other; 0 means 1.
	Batches int `json:"batches,omitempty"`
	// Loads is how many trays it fills in an oven; what the oven's shelves do
	// not hold at once becomes batches. 0 means 1.
	Loads int `json:"loads,omitempty"`
}

// Known is where the task's duration comes from, or "" for a rule of thumb that
// nobody has published.
func (t Task) Known() string {
	if t.Source == practice {
		return ""
	}
	return t.Source
}

// hands tells whether the task keeps a cook busy.
func (t Task) hands() bool { return t.Attended == recipe.Attended && t.Minutes > 0 }
