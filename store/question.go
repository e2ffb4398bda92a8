package store

import "time"

// A Question is what a host asked the author of an entry, without knowing who
// that is. Answer is masked on pages that readers see.
type Question struct {
	ID         int64
	Number     int // of the entry
	Text       string
	Answer     string
	AskedAt    time.Time
	AnsweredAt time.Time
}
