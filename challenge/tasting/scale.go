package tasting

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"fairladle/challenge/wording"
)

// Points is a score in hundredths of a point: 750 is 7.5. In JSON it is the
// plain number 7.5.
type Points int64

// ErrPoints is wrapped by ParsePoints for text that is no number with at most
// two decimals.
var ErrPoints = errors.New("not a number with at most two decimals")

// String writes points without needless zeros: "7", "7.5", "-0.25".
func (p Points) String() string {
	sign := ""
	if p < 0 {
		sign, p = "-", -p
	}
	s := fmt.Sprintf("%d.%02d", p/100, p%100)
	return sign + strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// ParsePoints reads "7", "7.5" or "7,5" exactly.
func ParsePoints(s string) (Points, error) {
	text := strings.Replace(strings.TrimSpace(s), ",", ".", 1)
	sign := Points(1)
	if rest, found := strings.CutPrefix(text, "-"); found {
		sign, text = -1, rest
	}
	whole, fraction, _ := strings.Cut(text, ".")
	if len(fraction) > 2 || len(whole) == 0 || len(whole) > 9 || !digits(whole) || !digits(fraction) {
		return 0, fmt.Errorf("%q: %w", s, ErrPoints)
	}
	n, err := strconv.ParseInt(whole+(fraction + "00")[:2], 10, 64)
	if err != nil {
		return 0, fmt.Errorf("%q: %w", s, ErrPoints)
	}
	return sign * Points(n), nil
}

func digits(s string) bool {
	return strings.Trim(s, "0123456789") == ""
}

// MarshalJSON writes a JSON number.
func (p Points) MarshalJSON() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalJSON reads a JSON number with at most two decimals, exactly.
func (p *Points) UnmarshalJSON(b []byte) (err error) {
	*p, err = ParsePoints(string(b))
	return err
}

// The kinds of scale.
const (
	ScaleHedonic = "hedonic9"    // 1 to 9, "dislike extremely" to "like extremely"
	ScaleHalves  = "tenths-half" // 0 to 10 in halves
	ScaleOwn     = "own"         // the host's
)

// Scale is the set of scores Min, Min+Step, ..., Max.
type Scale struct {
	Kind string `json:"kind"`
	Min  Points `json:"min"`
	Max  Points `json:"max"`
	Step Points `json:"step"`
}

// Hedonic9 is the nine-point hedonic scale of D. R. Peryam and F. J. Pilgrim,
// Food Technology 11(9), 1957 (reference from memory).
func Hedonic9() Scale { return Scale{ScaleHedonic, 100, 900, 100} }

// Halves is 0 to 10 in steps of a half.
func Halves() Scale { return Scale{ScaleHalves, 0, 1000, 50} }

// Own is a scale of the host's.
func Own(lowest, highest, step Points) Scale { return Scale{ScaleOwn, lowest, highest, step} }

// HedonicWords are the words of the nine points, from 1 to 9 (from memory).
func HedonicWords() []string {
	return []string{
		wording.Key("dislike extremely"), wording.Key("dislike very much"), wording.Key("dislike moderately"), wording.Key("dislike slightly"),
		wording.Key("neither like nor dislike"),
		wording.Key("like slightly"), wording.Key("like moderately"), wording.Key("like very much"), wording.Key("like extremely"),
	}
}

// Valid reports whether score is one of the scale's scores.
func (s Scale) Valid(score Points) bool {
	return s.Step > 0 && score >= s.Min && score <= s.Max && (score-s.Min)%s.Step == 0
}

// Scores lists the scores from the lowest to the highest.
func (s Scale) Scores() []Points {
	var all []Points
	for p := s.Min; s.Step > 0 && p <= s.Max; p += s.Step {
		all = append(all, p)
	}
	return all
}

// widest keeps every sum of a tally inside 64 bits; see ruler.
const widest = 1000_00

// Check tells what is wrong with a scale, in words for the host.
func (s Scale) Check() error {
	switch {
	case s.Kind != ScaleHedonic && s.Kind != ScaleHalves && s.Kind != ScaleOwn:
		return fmt.Errorf("unknown kind of scale %q", s.Kind)
	case s.Kind == ScaleHedonic && s != Hedonic9(), s.Kind == ScaleHalves && s != Halves():
		return fmt.Errorf("the scale %q has fixed ends; choose your own scale to change them", s.Kind)
	case s.Max <= s.Min:
		return errors.New("the highest score of a scale must be above the lowest")
	case s.Step <= 0 || (s.Max-s.Min)%s.Step != 0:
		return errors.New("the steps of a scale must lead exactly from the lowest score to the highest")
	case s.Max-s.Min > widest || s.Min < -widest || s.Max > widest:
		return errors.New("a scale may span 1000 points at most")
	case (s.Max-s.Min)/s.Step > 1000:
		return errors.New("a scale may have 1001 scores at most")
	}
	return nil
}

// Criterion is one thing that judges score.
type Criterion struct {
	Key      string `json:"key"`
	Name     string `json:"name"`
	Weight   int    `json:"weight"` // 1 to 1000, relative to the others
	Scale    Scale  `json:"scale"`
	LowWord  string `json:"lowWord,omitempty"`
	HighWord string `json:"highWord,omitempty"`
	// NeedsTasting: somebody who only saw pictures cannot score it.
	NeedsTasting bool `json:"needsTasting,omitempty"`
}

// Ends are the words at the two ends of the scale: the host's, or those of the
// hedonic scale.
func (c Criterion) Ends() (low, high string) {
	low, high = c.LowWord, c.HighWord
	if c.Scale.Kind == ScaleHedonic {
		words := HedonicWords()
		low, high = cmp.Or(low, words[0]), cmp.Or(high, words[len(words)-1])
	}
	return low, high
}

// FromPictures is the criteria that somebody who only saw pictures can score,
// appearance and idea for instance. Check such a judge's sheets against these.
func FromPictures(criteria []Criterion) []Criterion {
	var some []Criterion
	for _, c := range criteria {
		if !c.NeedsTasting {
			some = append(some, c)
		}
	}
	return some
}
