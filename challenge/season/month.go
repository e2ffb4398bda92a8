package season

import "time"

// Later moves a moment by whole months of the calendar, at the same time of the
// clock in its place. The last days of a longer month become the last day of a
// shorter one: 31 January becomes 28 or 29 February. A zero moment stays zero.
func Later(at time.Time, months int, in *time.Location) time.Time {
	if at.IsZero() {
		return at
	}
	t := at.In(in)
	y, m, d := t.Date()
	last := time.Date(y, m+time.Month(months)+1, 0, 12, 0, 0, 0, in).Day()
	return time.Date(y, m+time.Month(months), min(d, last), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), in).UTC()
}

// Months is how many months dates move at least by for something that ended at
// closes to end after now; never less than one.
func Months(closes, now time.Time, in *time.Location) int {
	for n := 1; n < 1200; n++ {
		if Later(closes, n, in).After(now) {
			return n
		}
	}
	return 1
}
