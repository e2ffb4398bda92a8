package shortlist

import (
	"errors"
	"fmt"
)

// Mark is a reader's verdict on an entry. Its number (0, 1, 2) is what means
// and the additive model work on.
type Mark int

// The three keys.
const (
	Out Mark = iota
	Maybe
	Keep
)

var markNames = [...]string{"out", "maybe", "keep"}

// ErrMark is wrapped by errors about text or numbers that are no mark.
var ErrMark = errors.New("a mark is keep, maybe or out")

// ParseMark reads "keep", "maybe" or "out".
func ParseMark(s string) (Mark, error) {
	for n, name := range markNames {
		if s == name {
			return Mark(n), nil
		}
	}
	return 0, fmt.Errorf("%q: %w", s, ErrMark)
}

// Valid reports whether m is one of the three marks.
func (m Mark) Valid() bool { return m >= Out && m <= Keep }

func (m Mark) String() string {
	if !m.Valid() {
		return fmt.Sprintf("Mark(%d)", int(m))
	}
	return markNames[m]
}

// MarshalText writes "keep", "maybe" or "out".
func (m Mark) MarshalText() ([]byte, error) {
	if !m.Valid() {
		return nil, fmt.Errorf("%d: %w", int(m), ErrMark)
	}
	return []byte(markNames[m]), nil
}

// UnmarshalText reads "keep", "maybe" or "out".
func (m *Mark) UnmarshalText(b []byte) (err error) {
	*m, err = ParseMark(string(b))
	return err
}

// Reading is one reader's mark for one entry. Where the rule has criteria,
// Score is their weighted mean (see Rule.Score), and Mark the nearest of the
// three to it.
type Reading struct {
	Entry  int64    `json:"entry"`
	Reader int64    `json:"reader"`
	Mark   Mark     `json:"mark"`
	Score  *float64 `json:"score,omitempty"` // 0 to 2; nil: the number of the mark
	Note   string   `json:"note,omitempty"`
}

func (r Reading) value() float64 {
	if r.Score == nil {
		return float64(r.Mark)
	}
	return *r.Score
}
