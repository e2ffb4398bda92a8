package draw

import (
	"fmt"
	"time"
)

// momentForm is the only form a time has in a record: whole seconds, UTC.
const momentForm = "2006-01-02T15:04:05Z"

// Moment is a time in whole seconds, UTC, so that it has one written form.
type Moment struct{ t time.Time }

// At returns the moment of t, cut to the second.
func At(t time.Time) Moment { return Moment{t.UTC().Truncate(time.Second).Round(0)} }

// Time returns the moment as a time in UTC.
func (m Moment) Time() time.Time { return m.t }

// IsZero reports whether no time was set.
func (m Moment) IsZero() bool { return m.t.IsZero() }

// Before reports whether m is earlier than other.
func (m Moment) Before(other Moment) bool { return m.t.Before(other.t) }

func (m Moment) String() string { return m.t.UTC().Format(momentForm) }

// MarshalText writes the form 2026-12-24T18:00:00Z.
func (m Moment) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads exactly the form 2026-12-24T18:00:00Z.
func (m *Moment) UnmarshalText(text []byte) error {
	t, err := time.Parse(momentForm, string(text))
	if err != nil || t.Format(momentForm) != string(text) {
		return fmt.Errorf("draw: %q is not a time like 2026-12-24T18:00:00Z", text)
	}
	*m = At(t)
	return nil
}
