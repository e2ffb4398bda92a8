package season

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"fairladle/challenge/wording"
)

// A Rule says how many points what an entry reached is worth. The parts add
// up.
type Rule struct {
	Places    []int `json:"places"`              // of places 1, 2, ... of the final result; places behind them give none
	Finalist  int   `json:"finalist,omitempty"`  // for having been a finalist
	Drawn     int   `json:"drawn,omitempty"`     // for having been drawn
	Published int   `json:"published,omitempty"` // for a recipe that everyone can read
	BestOf    int   `json:"best_of,omitempty"`   // only so many challenges of a person count, the best; 0: all
}

// DefaultRule is what a new season starts with.
func DefaultRule() Rule { return Rule{Places: []int{10, 6, 4, 2, 1}, Finalist: 2, Published: 1} }

// Limits of a rule.
const (
	MaxPoints = 1000
	MaxPlaces = 20
)

// What can be wrong with a rule.
var (
	ErrPoints = errors.New("points are whole numbers from 0 to 1000")
	ErrPlaces = errors.New("at most 20 places give points")
	ErrRising = errors.New("a later place gives more points than an earlier one")
	ErrNone   = errors.New("nothing gives points")
)

// Check refuses a rule that cannot give standings.
func (r Rule) Check() error {
	all := append([]int{r.Finalist, r.Drawn, r.Published, r.BestOf}, r.Places...)
	sum := 0
	for i, n := range all {
		if n < 0 || n > MaxPoints {
			return ErrPoints
		}
		if i != 3 {
			sum += n
		}
	}
	if len(r.Places) > MaxPlaces {
		return ErrPlaces
	}
	for i := 1; i < len(r.Places); i++ {
		if r.Places[i] > r.Places[i-1] {
			return ErrRising
		}
	}
	if sum == 0 {
		return ErrNone
	}
	return nil
}

// ParsePlaces reads points by place as a host types them: "10, 6, 4".
func ParsePlaces(typed string) (points []int, err error) {
	for _, f := range strings.FieldsFunc(typed, func(c rune) bool { return strings.ContainsRune(" ,;\t\r\n", c) }) {
		n, err := strconv.Atoi(f)
		if err != nil {
			return nil, fmt.Errorf("%q: %w", f, ErrPoints)
		}
		points = append(points, n)
	}
	return points, nil
}

// PlacesText is the points by place as ParsePlaces reads them.
func (r Rule) PlacesText() string {
	words := make([]string, len(r.Places))
	for i, n := range r.Places {
		words[i] = strconv.Itoa(n)
	}
	return strings.Join(words, ", ")
}

// Words tell the rule.
func (r Rule) Words() (words []wording.Sentence) {
	if len(r.Places) > 0 {
		words = append(words, wording.Of("Places 1, 2, 3 and so on of a final result give %v points.", r.PlacesText()))
	}
	add := func(n int, s wording.Sentence) {
		if n > 0 {
			words = append(words, s)
		}
	}
	add(r.Finalist, wording.Count(r.Finalist, "Being a finalist gives one point.", "Being a finalist gives %v points."))
	add(r.Drawn, wording.Count(r.Drawn, "Being drawn gives one point.", "Being drawn gives %v points."))
	add(r.Published, wording.Count(r.Published, "A published recipe gives one point.", "A published recipe gives %v points."))
	add(r.BestOf, wording.Count(r.BestOf, "Only the best challenge of each person counts.", "Only the best %v challenges of each person count."))
	return append(words, wording.Of("Who has the same points stands level, unless one of them has more of the better places."))
}
