// Package challenge is the domain of Fairladle: challenges, entries, rounds,
// roles, release and the life cycle that joins them.
//
// It is pure: it takes values and returns values. It reads no clock, opens no
// file, speaks no SQL and no HTTP; whoever calls it passes now, random bytes
// and text. Start with challenge.go for the words and run.go for how a round
// moves from planned to closed.
package challenge
